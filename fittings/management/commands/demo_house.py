"""An invented house to look at and try: never in a database that holds another."""

import datetime
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from customers.models import Customer, House
from fittings.demo.building import SEED, build
from fittings.demo.house import NAME, PASSWORD, STAFF
from fittings.demo.record import moment

MIDDAY = 13 * 60 + 30  # how late it is in the demo on a day that is not today


class Command(BaseCommand):
    help = "Fill an empty database with an invented house and three years of its history."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seed", type=int, default=SEED, help="another seed, another house")
        parser.add_argument(
            "--today",
            type=datetime.date.fromisoformat,
            help="the day the diary is open at, as year-month-day (this one)",
        )

    def handle(self, *_args: Any, **options: Any) -> str:
        """Build it, or find it built; refuse to touch a house that is not the demo."""
        if House.get().name == NAME:
            return f"The demo house is here already: nothing was written.\n\n{who_signs_in()}"
        if Customer.objects.exists() or User.objects.exists():
            raise CommandError(
                "This database holds a house that is not the demo: nothing was written. "
                "Point LEDGER_DATA at an empty folder and migrate it first."
            )
        today = options["today"]
        now = timezone.localtime() if today is None else moment(today, MIDDAY)
        build(seed=options["seed"], now=now)
        return f"{NAME}: an invented house. Nobody in it exists.\n\n{who_signs_in()}"


def who_signs_in() -> str:
    """A line for each person: sign-in name, password, name and work."""
    lines = [f"  {'sign in as':12}{'password':20}{'name':22}work"]
    lines += [
        f"  {hand.username:12}{PASSWORD:20}{f'{hand.given} {hand.family}':22}{hand.role}"
        for hand in STAFF
    ]
    return "\n".join(lines)
