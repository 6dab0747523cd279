"""Addresses of what the house has learnt."""

from django.urls import path

from fittings.lessons import views

app_name = "lessons"
urlpatterns = [
    path("", views.lesson_list, name="lesson_list"),
    path("anew/", views.lessons_renew, name="lessons_renew"),
    path("figure/", views.figure_detail, name="figure_detail"),
    path("figure/leave-out/", views.figure_omit, name="figure_omit"),
    path("case/<uuid:pk>/leave-out/", views.case_omit, name="case_omit"),
    path("take-in/<uuid:pk>/", views.omission_strike, name="omission_strike"),
]
