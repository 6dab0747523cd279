"""``manage.py remove_second_factor``: the way in for an only owner who lost device and paper."""

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError

from fittings.accounts.second import remove_factor


class Command(BaseCommand):
    help = "Let a person in by the password alone again; for whoever has the house's computer."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")

    def handle(self, *_args: Any, **options: Any) -> str:
        person = User.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError("Nobody signs in by this name.")
        remove_factor(person=person, by=None)
        return f"{person.get_username()} signs in by the password alone."
