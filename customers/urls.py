"""Addresses of the customers and their measures, and of the house's own settings."""

from django.urls import path, register_converter

from customers import views
from customers.measuring import over_time as histories
from customers.measuring import views as measuring
from customers.numbers import NumberConverter

register_converter(NumberConverter, "house_number")

app_name = "customers"
urlpatterns = [
    path("", views.customer_find, name="customer_find"),
    path("new/", views.customer_create, name="customer_create"),
    path("house/", views.house_update, name="house_update"),
    path("<house_number:number>/change/", views.customer_update, name="customer_update"),
    path("<house_number:number>/consent/", views.consent_create, name="consent_create"),
    # measures
    path("<house_number:number>/measures/new/", measuring.set_create, name="set_create"),
    path("<house_number:number>/measures/compare/", measuring.set_compare, name="set_compare"),
    path(
        "<house_number:number>/measures/over-time/",
        histories.measure_history,
        name="measure_history",
    ),
    path(
        "<house_number:number>/measures/over-time.pdf",
        histories.measure_history_pdf,
        name="measure_history_pdf",
    ),
    path("<house_number:number>/measures/<uuid:pk>/", measuring.set_detail, name="set_detail"),
    path(
        "<house_number:number>/measures/<uuid:pk>/correct/",
        measuring.set_correct,
        name="set_correct",
    ),
    path(
        "<house_number:number>/measures/<uuid:pk>/confirm/",
        measuring.reading_confirm,
        name="reading_confirm",
    ),
]
