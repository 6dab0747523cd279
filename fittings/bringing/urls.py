"""Addresses of the lists brought in."""

from django.urls import path

from fittings.bringing import views

app_name = "bringing"
urlpatterns = [
    path("", views.import_list, name="import_list"),
    path("template/", views.template_csv, name="template_csv"),
    path("list/<uuid:pk>/", views.upload_detail, name="upload_detail"),
    path("list/<uuid:pk>/columns/", views.upload_columns, name="upload_columns"),
    path("list/<uuid:pk>/check/", views.upload_check, name="upload_check"),
    path("list/<uuid:pk>/choose/", views.upload_choose, name="upload_choose"),
    path("list/<uuid:pk>/write/", views.upload_write, name="upload_write"),
    path("list/<uuid:pk>/progress/", views.upload_progress, name="upload_progress"),
    path("list/<uuid:pk>/discard/", views.upload_discard, name="upload_discard"),
    path("<uuid:pk>/", views.import_detail, name="import_detail"),
    path("<uuid:pk>/take-back/", views.import_take_back, name="import_take_back"),
]
