"""Addresses of the workroom."""

from django.urls import path

from garments.afterwork import views as afterwork
from garments.workroom import listing, views

app_name = "workroom"
urlpatterns = [
    path("", listing.ticket_list, name="ticket_list"),
    path("wall/", listing.wall, name="wall"),
    path("after-the-work/", afterwork.afterwork, name="afterwork"),
    path("bench/", listing.bench_update, name="bench_update"),
    path("open/", views.ticket_find, name="ticket_find"),
    path("day.pdf", views.tickets_pdf, name="tickets_pdf"),
    # number of a garment
    path("new/<str:number>/", views.ticket_create, name="ticket_create"),
    # number of a ticket; the first is what the QR on a paper holds
    path("t/<str:number>/<int:revision>/", views.ticket_scan, name="ticket_scan"),
    path("<str:number>/", views.ticket_detail, name="ticket_detail"),
    path("<str:number>/change/", views.ticket_revise, name="ticket_revise"),
    path("<str:number>/<int:revision>/answer/", views.answer_create, name="answer_create"),
    path("<str:number>/<int:revision>/reply/", views.ticket_reply, name="ticket_reply"),
    path("<str:number>/<int:revision>/ticket.pdf", views.ticket_pdf, name="ticket_pdf"),
    path("<str:number>/<int:revision>/label.pdf", views.label_pdf, name="label_pdf"),
]
