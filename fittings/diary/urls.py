"""Addresses of today and of the diary."""

from django.urls import path

from fittings.diary import calling_views, entries, views

app_name = "diary"
urlpatterns = [
    path("", views.today, name="today"),
    path("diary/", views.week, name="week"),
    path("diary/day/", views.day, name="day"),
    # one booking
    path("diary/book/", entries.booking_create, name="booking_create"),
    path("diary/<uuid:pk>/", views.booking_detail, name="booking_detail"),
    path("diary/<uuid:pk>/move/", entries.booking_move, name="booking_move"),
    path("diary/<uuid:pk>/cancel/", entries.booking_cancel, name="booking_cancel"),
    path("diary/<uuid:pk>/mark/", entries.booking_mark, name="booking_mark"),
    # who was missed
    path("diary/<uuid:pk>/call/", calling_views.call_again, name="call_again"),
    path("diary/<uuid:pk>/called/", calling_views.called, name="called"),
    # the rooms
    path("diary/rooms/", entries.room_create, name="room_create"),
    path("diary/rooms/<int:pk>/retire/", entries.room_retire, name="room_retire"),
]
