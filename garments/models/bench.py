"""How long the bench works."""

import datetime

from django.core.validators import MaxValueValidator
from django.db import models

from customers.ledger import LedgerEntry

MOST_MINUTES = 40 * 24 * 60  # forty pairs of hands round the clock: beyond it it is mistyped
MOST = [MaxValueValidator(MOST_MINUTES)]


class BenchHours(LedgerEntry):
    """Minutes of work the whole bench does on each weekday, all hands together.

    The newest entry holds. A weekday nobody works on has none.
    """

    monday = models.PositiveIntegerField(default=0, validators=MOST)
    tuesday = models.PositiveIntegerField(default=0, validators=MOST)
    wednesday = models.PositiveIntegerField(default=0, validators=MOST)
    thursday = models.PositiveIntegerField(default=0, validators=MOST)
    friday = models.PositiveIntegerField(default=0, validators=MOST)
    saturday = models.PositiveIntegerField(default=0, validators=MOST)
    sunday = models.PositiveIntegerField(default=0, validators=MOST)

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "bench hours"

    def __str__(self) -> str:
        return f"{sum(self.week)} minutes a week"

    @property
    def week(self) -> tuple[int, ...]:
        """Minutes from Monday to Sunday."""
        return tuple(getattr(self, name) for name in WEEKDAYS)

    def minutes(self, day: datetime.date) -> int:
        return self.week[day.weekday()]


WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
