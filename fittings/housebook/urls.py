"""Addresses of the house's catalogue."""

from django.urls import path

from fittings.housebook import views

app_name = "housebook"
urlpatterns = [
    path("", views.book_page, name="book_page"),
    path("new/<slug:table>/<slug:kind>/", views.row_create, name="row_create"),
    path("<slug:table>/<str:key>/", views.row_detail, name="row_detail"),
    path("<slug:table>/<str:key>/change/", views.row_update, name="row_update"),
    path("<slug:table>/<str:key>/retire/", views.row_retire, name="row_retire"),
    path("<slug:table>/<str:key>/as-shipped/", views.row_restore, name="row_restore"),
]
