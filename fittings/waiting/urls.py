"""Addresses of the waiting list."""

from django.urls import path

from fittings.waiting import views

app_name = "waiting"
urlpatterns = [
    path("", views.waiting_list, name="waiting_list"),
    path("new/", views.waiting_create, name="waiting_create"),
    path("<uuid:pk>/withdraw/", views.waiting_withdraw, name="waiting_withdraw"),
    path("<uuid:pk>/give/", views.waiting_give, name="waiting_give"),
]
