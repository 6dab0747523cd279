"""Addresses of the post."""

from django.urls import path

from fittings.post import views

app_name = "post"
urlpatterns = [
    path("", views.post_list, name="post_list"),
    path("booking/<uuid:pk>/<str:kind>/", views.booking_write, name="booking_write"),
    path("garment/<str:number>/ready/", views.ready_write, name="ready_write"),
    path("message/<uuid:pk>/", views.message_detail, name="message_detail"),
    path("message/<uuid:pk>/mark/", views.message_mark, name="message_mark"),
    path("wordings/", views.wording_list, name="wording_list"),
    path("wordings/<str:kind>/", views.wording_update, name="wording_update"),
    path("rules/", views.rules_update, name="rules_update"),
]
