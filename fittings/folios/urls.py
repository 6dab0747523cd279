"""Addresses of the customer's page and the garment's page."""

from django.urls import path

from fittings.folios import views

app_name = "folios"
# "house_number" is registered in customers.urls, which is read first.
urlpatterns = [
    path("customers/<house_number:number>/", views.customer_folio, name="customer_folio"),
    path("garments/<house_number:number>/", views.garment_folio, name="garment_folio"),
]
