"""Addresses of the owner's review."""

from django.urls import path

from fittings.review import views

app_name = "review"
urlpatterns = [
    path("", views.review_page, name="review_page"),
    path("read-twice/", views.repeat_page, name="repeat_page"),
    path("<slug:table>.csv", views.review_csv, name="review_csv"),
]
