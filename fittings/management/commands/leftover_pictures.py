"""Picture files that no photograph names, told or deleted."""

import datetime
from argparse import ArgumentParser
from typing import Any

from django.core.files.storage import default_storage
from django.core.management.base import BaseCommand

from fittings.safekeeping.pictures import leftovers

DAY = datetime.timedelta(days=1)


class Command(BaseCommand):
    help = "Tell which picture files belong to no photograph, and delete them when asked."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--delete", action="store_true", help="delete them for good")

    def handle(self, *_args: Any, **options: Any) -> str:
        found = leftovers(older_than=DAY)
        for name in found:
            self.stdout.write(name)
            if options["delete"]:
                default_storage.delete(name)
        done = "deleted" if options["delete"] else "found; --delete takes them away"
        return f"{len(found)} picture files that no photograph names {done}."
