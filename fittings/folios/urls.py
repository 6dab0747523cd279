"""Addresses of this room."""

from django.urls import URLPattern

app_name = "folios"
urlpatterns: list[URLPattern] = []
