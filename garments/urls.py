"""Addresses of garments and of the house's cuts."""

from django.urls import path

from garments import views
from garments.cutbook import views as cutbook

app_name = "garments"
urlpatterns = [
    path("order/<str:number>/", views.garment_create, name="garment_create"),
    # the house's cuts
    path("cuts/", cutbook.cut_list, name="cut_list"),
    path("cuts/new/", cutbook.cut_create, name="cut_create"),
    path("cuts/<int:pk>/", cutbook.cut_version_create, name="cut_version_create"),
    path("cuts/<int:pk>/retire/", cutbook.cut_retire, name="cut_retire"),
    # one garment
    path("<str:number>/change/", views.garment_update, name="garment_update"),
    path("<str:number>/cut/", views.garment_cut, name="garment_cut"),
    path("<str:number>/stage/", views.stage_create, name="stage_create"),
    path("<str:number>/stage/take-back/", views.stage_strike, name="stage_strike"),
    path("<str:number>/inlays/", views.inlay_update, name="inlay_update"),
    path("<str:number>/remake/", views.remake_create, name="remake_create"),
]
