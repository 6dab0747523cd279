"""Keep to the owner's rule: for a timer, once a night."""

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fittings.privacy import keeping, remembered, sweeping


class Command(BaseCommand):
    help = (
        "List what is due by the house's rule of keeping. Erases only where the owner lets the "
        "timer act alone; clears what is left of the erased; forgets looks older than a year."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="list what is due, do nothing")

    def handle(self, *_args: Any, **options: Any) -> str:
        now = timezone.now()
        held = keeping.rule()
        people = [row.number for row in keeping.people_due(held, now)]
        said = [
            f"Due by the rule: {len(people)} people, {keeping.photographs_due(held, now).count()} "
            f"photographs. {' '.join(people)}".strip()
        ]
        if options["dry_run"]:
            return said[0]
        try:
            done = keeping.apply_rule(now)
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from problem
        said.append(f"Erased: {len(done.erased)}. Photographs deleted: {done.pictures}.")
        said.extend(f"Left: {reason}" for reason in done.left)
        remembered.remember()
        said.append(f"Looks forgotten: {keeping.forget_seen(now)}.")
        if not sweeping.sweep():
            said.append("The database was busy: run this again to clear what was erased.")
        return "\n".join(said)
