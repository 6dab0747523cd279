from django.apps import AppConfig


class CustomersConfig(AppConfig):
    name = "customers"
    verbose_name = "Customers and their measures"
