from importlib import import_module

from django.apps import AppConfig


class FittingsConfig(AppConfig):
    name = "fittings"
    verbose_name = "Fittings, diary and review"

    def ready(self) -> None:
        """Listen for people signing in and out; lend the garments photographs and the plan."""
        import_module("fittings.accounts.watching")
        import_module("fittings.session.pinned").register_source()
        import_module("fittings.promising.answering").register_doubt()
