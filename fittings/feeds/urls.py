"""Addresses of the calendars."""

from django.urls import path

from fittings.feeds import views

app_name = "feeds"
urlpatterns = [
    path("calendars/", views.feed_list, name="feed_list"),
    path("calendars/<str:kind>/<int:pk>/renew/", views.feed_renew, name="feed_renew"),
    path("calendars/<str:kind>/<int:pk>/revoke/", views.feed_revoke, name="feed_revoke"),
    path("calendar/<str:token>.ics", views.feed, name="feed"),
]
