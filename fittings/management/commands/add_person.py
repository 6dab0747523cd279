"""The way in for a new house: its first owner is added here, everyone else on the people page."""

import getpass
import sys
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from fittings.accounts.services import add_person
from fittings.config.access import ROLES


class Command(BaseCommand):
    help = "Add a person who can sign in, with one or more kinds of work."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--first-name", default="")
        parser.add_argument("--last-name", default="")
        parser.add_argument("--role", action="append", choices=ROLES, required=True)

    def handle(self, *_args: Any, **options: Any) -> str:
        """Ask for the password on the terminal, or read one line where there is none."""
        password = getpass.getpass() if sys.stdin.isatty() else sys.stdin.readline().strip()
        try:
            validate_password(password)
            add_person(
                username=options["username"],
                first_name=options["first_name"],
                last_name=options["last_name"],
                password=password,
                roles=options["role"],
                by=None,
            )
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        return f"{options['username']} can sign in."
