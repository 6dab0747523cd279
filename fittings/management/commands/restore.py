"""Bring a house back from the file that `back_up` made."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fittings.privacy.remembered import erase_again, remember
from fittings.safekeeping import archive, databases, services


class Command(BaseCommand):
    help = "Bring a house back from a copy. Nobody may be working on it meanwhile."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--key", type=Path, help="file that holds the age secret key")
        parser.add_argument(
            "--replace", action="store_true", help="set the house that is here aside first"
        )

    def handle(self, *_args: Any, **options: Any) -> str:
        # Before the house that is here goes: it knows whom it erased.
        erased = remember(read_in=options["file"].resolve().parent)
        try:
            manifest = services.restore(
                options["file"],
                secret_key=options["key"].read_text() if options["key"] else "",
                replace=options["replace"],
                work=settings.DATA_DIR,
                now=timezone.now(),
            )
        except (services.RefusedError, archive.DamagedError, archive.NewerError) as problem:
            raise CommandError(f"Nothing was changed. {problem}") from problem
        except (databases.DatabaseError, OSError) as problem:
            raise CommandError(str(problem)) from problem
        rows, pictures = sum(manifest.rows.values()), len(manifest.members) - 1
        lost = len(manifest.missing)
        call_command("migrate", verbosity=0)
        again = erase_again(erased)
        return (
            f"The house of {manifest.made_at} is back: {rows:,} rows, {pictures:,} picture files"
            f"{f', {lost} were gone when it was made' if lost else ''}. "
            f"Erased again, since they were erased after it was made: {len(again)}."
        )
