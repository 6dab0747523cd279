"""``manage.py count_review``: what the review counts, made anew for every garment."""

from typing import Any

from django.core.management.base import BaseCommand

from fittings.review.counting import count_everything


class Command(BaseCommand):
    help = "Count every garment anew for the review, as after a change of the house's time zone."

    def handle(self, *_args: Any, **_options: Any) -> None:
        self.stdout.write(f"{count_everything()} garments counted.")
