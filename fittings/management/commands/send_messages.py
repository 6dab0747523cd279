"""``manage.py send_messages``: what waits in the outbox, for a timer every minute or so."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from customers.models import House
from fittings.post import queries, sending


class Command(BaseCommand):
    help = "Write the reminders that are due and send the messages that wait, in the house's hours."

    def handle(self, *_args: Any, **_options: Any) -> None:
        if not settings.MAIL_FROM:
            raise CommandError("No mail server is set (LEDGER_MAIL_FROM): nothing was sent.")
        hours = queries.sending_hours(House.get())
        written = sending.write_reminders(timezone.now())
        done = sending.send_waiting(timezone.now)
        told = ", ".join(f"{count} {state}" for state, count in sorted(done.items()))
        self.stdout.write(
            f"{written} reminders written; {told or 'nothing sent'}. Messages go out {hours}."
        )
