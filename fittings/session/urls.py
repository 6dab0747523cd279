"""Addresses of the fitting room."""

from django.urls import path

from fittings.session import views
from fittings.session.views import ahead, callout, causes, entries, news, pictures, pins

app_name = "session"
garment = "<uuid:pk>/<str:number>"
urlpatterns = [
    path("", views.fitting_list, name="fitting_list"),
    path("start/", views.fitting_start, name="fitting_start"),
    path("pages/", ahead.day_pages, name="day_pages"),
    path("ahead/<uuid:pk>/", ahead.fitting_ahead, name="fitting_ahead"),
    path("<uuid:pk>/", views.fitting_detail, name="fitting_detail"),
    # what is said of one garment in one session
    path(f"{garment}/news/", news.fitting_news, name="fitting_news"),
    path(f"{garment}/seen/", entries.observation_create, name="observation_create"),
    path(
        f"{garment}/seen/<uuid:entry>/strike/",
        entries.observation_strike,
        name="observation_strike",
    ),
    path(f"{garment}/call-out/", callout.callout_create, name="callout_create"),
    path(f"{garment}/notes/<uuid:entry>/strike/", callout.remark_strike, name="remark_strike"),
    path(f"{garment}/alterations/", entries.alteration_create, name="alteration_create"),
    path(
        f"{garment}/alterations/<uuid:entry>/strike/",
        entries.alteration_strike,
        name="alteration_strike",
    ),
    path(f"{garment}/causes/", causes.cause_create, name="cause_create"),
    path(f"{garment}/causes/<uuid:entry>/strike/", causes.cause_strike, name="cause_strike"),
    path(f"{garment}/tests/", causes.spot_answer_create, name="spot_answer_create"),
    path(
        f"{garment}/tests/<uuid:entry>/strike/",
        causes.spot_answer_strike,
        name="spot_answer_strike",
    ),
    path(f"{garment}/verdicts/", entries.judgement_create, name="judgement_create"),
    path(f"{garment}/next-step/", entries.decision_create, name="decision_create"),
    path(
        f"{garment}/next-step/<uuid:entry>/take-back/",
        entries.decision_strike,
        name="decision_strike",
    ),
    path(f"{garment}/photographs/", pictures.photograph_create, name="photograph_create"),
    path(f"{garment}/photographs/beside/", pictures.beside, name="beside"),
    # photographs stand by themselves: other rooms show them too
    path("photographs/<uuid:pk>/", pictures.photograph, name="photograph"),
    path(
        "photographs/of/<str:number>/delete/",
        pictures.photographs_delete,
        name="photographs_delete",
    ),
    path("photographs/<uuid:pk>/small/", pictures.thumbnail, name="thumbnail"),
    path("photographs/<uuid:pk>/pins/", pins.pin_page, name="pin_page"),
    path("photographs/pins/<uuid:pk>/strike/", pins.pin_strike, name="pin_strike"),
    path("photographs/<uuid:pk>/strike/", pictures.photograph_strike, name="photograph_strike"),
]
