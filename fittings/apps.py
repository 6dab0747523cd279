from django.apps import AppConfig


class FittingsConfig(AppConfig):
    name = "fittings"
    verbose_name = "Fittings, diary and review"
