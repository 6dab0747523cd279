from django.urls import path

from fittings.privacy import views

app_name = "privacy"
urlpatterns = [
    path("", views.keeping_page, name="keeping_page"),
    path("rule/", views.rule_update, name="rule_update"),
    path("due/", views.due_list, name="due_list"),
    path("due/photographs/", views.photographs_drop, name="photographs_drop"),
    path("looked-at/", views.looked_at, name="looked_at"),
    path("of/<str:number>/", views.customer_held, name="customer_held"),
    path("of/<str:number>/file/", views.customer_export, name="customer_export"),
    path("of/<str:number>/erase/", views.customer_erase, name="customer_erase"),
]
