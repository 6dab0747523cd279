"""Addresses of this room."""

from django.urls import URLPattern

app_name = "workroom"
urlpatterns: list[URLPattern] = []
