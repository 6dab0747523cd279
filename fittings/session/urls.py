"""Addresses of this room."""

from django.urls import URLPattern

app_name = "session"
urlpatterns: list[URLPattern] = []
