from django.apps import AppConfig


class GarmentsConfig(AppConfig):
    name = "garments"
    verbose_name = "Garments in work"
