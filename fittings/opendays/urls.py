"""Addresses of the house's calendar."""

from django.urls import path

from fittings.opendays import views

app_name = "opendays"
urlpatterns = [
    path("", views.calendar_page, name="calendar_page"),
    path("week/", views.week_update, name="week_update"),
    path("closed/", views.closure_create, name="closure_create"),
    path("closed/<uuid:pk>/end/", views.closure_end, name="closure_end"),
    path("away/", views.absence_create, name="absence_create"),
    path("away/<uuid:pk>/end/", views.absence_end, name="absence_end"),
    path("holidays/", views.holidays_update, name="holidays_update"),
    path("holidays/work/", views.holiday_work, name="holiday_work"),
]
