"""Addresses of the customer's page and the garment's page."""

from django.urls import path

from fittings.folios import views

app_name = "folios"
urlpatterns = [
    path("customers/<str:number>/", views.customer_folio, name="customer_folio"),
    path("garments/<str:number>/", views.garment_folio, name="garment_folio"),
]
