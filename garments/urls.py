"""Addresses of this room."""

from django.urls import URLPattern

app_name = "garments"
urlpatterns: list[URLPattern] = []
