"""``manage.py monthly_letter``: last month's letter as a PDF or by mail, for a timer."""

import datetime
import uuid
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.http import QueryDict
from django.utils import timezone

from fittings.review.forms import LetterForm
from fittings.review.keeping import today_begins
from fittings.review.letter import print_letter, write_letter
from fittings.review.sending import owners_to_write_to, send_letter


class Command(BaseCommand):
    help = "Write the owner's monthly letter (last month's, if none is named) or send it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--month", default="", help="such as 2026-03")
        parser.add_argument("--to", default="", help="folder (letters in the data folder)")
        parser.add_argument("--send", action="store_true", help="by mail to each owner, once")

    def handle(self, *_args: Any, **options: Any) -> None:
        asked = QueryDict(mutable=True)
        if options["month"]:
            asked["month"] = options["month"]
        form = LetterForm(asked, timezone.localdate())
        if not form.is_valid():
            raise CommandError(" ".join(str(error) for error in form.errors["month"]))
        month: datetime.date = form.cleaned_data["month"]
        if options["send"]:
            self._send(month)
        else:
            self._write(month, options)

    def _send(self, month: datetime.date) -> None:
        """To every owner with an address; one who had it already is told and is no failure."""
        owners = owners_to_write_to()
        if not settings.MAIL_FROM or not owners:
            raise CommandError(
                "No owner has an e-mail address (the people's page)."
                if settings.MAIL_FROM
                else "No mail server is set (LEDGER_MAIL_FROM)."
            )
        failed = []
        for owner in owners:
            try:
                row = send_letter(entry_id=uuid.uuid4(), month=month, to=owner, by=None)
            except ValidationError as had:
                self.stdout.write(" ".join(had.messages))
                continue
            said = f"{row.get_state_display()} to {row.address}"
            self.stdout.write(f"The letter of {month:%B %Y}: {said}.")
            if row.state != row.State.SENT:
                failed.append(f"{said} ({row.why})")
        if failed:
            raise CommandError("; ".join(failed))

    def _write(self, month: datetime.date, options: dict[str, Any]) -> None:
        folder = Path(options["to"] or settings.DATA_DIR / "letters")
        path = folder / f"letter-{month:%Y-%m}.pdf"
        pdf = print_letter(write_letter(month, today_begins()))
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path.write_bytes(pdf)
        except OSError as error:
            raise CommandError(f"The letter cannot be written: {error}.") from error
        self.stdout.write(f"The letter of {month:%B %Y} is in {path}.")
