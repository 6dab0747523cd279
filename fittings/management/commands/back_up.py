"""One file with the whole house in it, made while people work."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fittings.privacy.remembered import remember
from fittings.safekeeping import databases, services


class Command(BaseCommand):
    help = "Copy the database and the photographs into one file, while people work."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument("--seal-for", default="", help="an age public key, age1...")
        parser.add_argument("--keep", type=int, default=0, help="how many to keep; 0 keeps all")

    def handle(self, *_args: Any, **options: Any) -> str:
        try:
            made = services.back_up(
                options["folder"],
                seal_for=options["seal_for"],
                work=settings.DATA_DIR,
                now=timezone.now(),
            )
            # An older copy beside it learns from this list who was erased since.
            remember(options["folder"])
            gone = services.drop_oldest(options["folder"], keep=options["keep"])
        except (services.RefusedError, databases.DatabaseError, OSError) as problem:
            raise CommandError(f"No copy was made. {problem}") from problem
        return f"{made} ({made.stat().st_size:,} bytes); {len(gone)} older taken away."
