"""Addresses of the trips."""

from django.urls import path

from fittings.travelling import views

app_name = "travelling"
urlpatterns = [
    path("", views.trip_list, name="trip_list"),
    path("new/", views.trip_create, name="trip_create"),
    path("<uuid:pk>/", views.trip_detail, name="trip_detail"),
    path("<uuid:pk>/call-off/", views.trip_call_off, name="trip_call_off"),
    path("<uuid:pk>/packing.pdf", views.packing_pdf, name="packing_pdf"),
]
