"""Addresses of the promises."""

from django.urls import path

from fittings.promising import bench_views, views

app_name = "promising"
urlpatterns = [
    path("", views.promise_list, name="promise_list"),
    path("ask/", views.promise_ask, name="promise_ask"),
    path("earliest/", views.earliest, name="earliest"),
    path("garment/<str:number>/", views.promise_detail, name="promise_detail"),
    path("garment/<str:number>/what-if/", views.what_if, name="what_if"),
    path("makers/", bench_views.maker_list, name="maker_list"),
    path("makers/<int:pk>/", bench_views.maker_update, name="maker_update"),
    path("stages/", bench_views.stage_list, name="stage_list"),
    path("stages/<str:kind>/<str:stage>/", bench_views.stage_update, name="stage_update"),
    path("stages/<str:kind>/<str:stage>/strike/", bench_views.stage_strike, name="stage_strike"),
    path("overtime/", bench_views.overtime_list, name="overtime_list"),
    path("overtime/<uuid:pk>/strike/", bench_views.overtime_strike, name="overtime_strike"),
]
