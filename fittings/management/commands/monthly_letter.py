"""``manage.py monthly_letter``: last month's letter as a PDF, for a timer each first of a month."""

import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.http import QueryDict
from django.utils import timezone

from fittings.review.forms import LetterForm
from fittings.review.letter import print_letter, write_letter


class Command(BaseCommand):
    help = "Write the owner's monthly letter as a PDF (last month's, if none is named)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--month", default="", help="such as 2026-03")
        parser.add_argument("--to", default="", help="folder (letters in the data folder)")

    def handle(self, *_args: Any, **options: Any) -> None:
        asked = QueryDict(mutable=True)
        if options["month"]:
            asked["month"] = options["month"]
        form = LetterForm(asked, timezone.localdate())
        if not form.is_valid():
            raise CommandError(" ".join(str(error) for error in form.errors["month"]))
        month: datetime.date = form.cleaned_data["month"]
        folder = Path(options["to"] or settings.DATA_DIR / "letters")
        path = folder / f"letter-{month:%Y-%m}.pdf"
        pdf = print_letter(write_letter(month, timezone.now()))
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path.write_bytes(pdf)
        except OSError as error:
            raise CommandError(f"The letter cannot be written: {error}.") from error
        self.stdout.write(f"The letter of {month:%B %Y} is in {path}.")
