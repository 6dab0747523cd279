"""Addresses of garments and of the house's cuts."""

from django.urls import path

from garments import views
from garments.aiming import views as aiming
from garments.benchplan import views as benchplan
from garments.carrying import views as carrying
from garments.cutbook import views as cutbook
from garments.inlays import views as inlays
from garments.shears import views as shears

app_name = "garments"
# "house_number" is registered in customers.urls, which is read first.
urlpatterns = [
    path("order/<house_number:number>/", views.garment_create, name="garment_create"),
    # the house's cuts
    path("cuts/", cutbook.cut_list, name="cut_list"),
    path("cuts/new/", cutbook.cut_create, name="cut_create"),
    path("cuts/<int:pk>/", cutbook.cut_version_create, name="cut_version_create"),
    path("cuts/<int:pk>/retire/", cutbook.cut_retire, name="cut_retire"),
    # one garment
    path("<house_number:number>/change/", views.garment_update, name="garment_update"),
    path("<house_number:number>/cut/", shears.garment_cut, name="garment_cut"),
    path("<house_number:number>/cut/take-on/", shears.line_pass, name="line_pass"),
    path(
        "<house_number:number>/cut/pass/<uuid:pk>/take-back/",
        shears.line_strike,
        name="line_strike",
    ),
    path("<house_number:number>/cutter.pdf", shears.cutter_sheet, name="cutter_sheet"),
    path("<house_number:number>/carry/", carrying.carry_page, name="carry_page"),
    path("<house_number:number>/stage/", views.stage_create, name="stage_create"),
    path("<house_number:number>/stage/take-back/", views.stage_strike, name="stage_strike"),
    path("<house_number:number>/inlays/", views.inlay_update, name="inlay_update"),
    path("<house_number:number>/inlays/spoilt/", inlays.inlay_spoil, name="inlay_spoil"),
    path("<house_number:number>/wish/", aiming.wish_create, name="wish_create"),
    path("<house_number:number>/wish/<uuid:pk>/take-back/", aiming.wish_strike, name="wish_strike"),
    path("<house_number:number>/measures/", aiming.finished_create, name="finished_create"),
    path("<house_number:number>/plan/", benchplan.plan_page, name="plan_page"),
    path("<house_number:number>/remake/", views.remake_create, name="remake_create"),
]
