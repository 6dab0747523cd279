"""When the house is open, when it is closed, and who is away."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from customers.ledger import LedgerEntry

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class OpeningHours(LedgerEntry):
    """One weekday's hours from here on (Monday 0), by the house's clock; without times: closed.

    A weekday without a standing entry keeps the hours of the house's settings.
    """

    weekday = models.PositiveSmallIntegerField()
    opens = models.TimeField(null=True, blank=True)
    closes = models.TimeField(null=True, blank=True)

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "opening hours"
        constraints = [
            models.CheckConstraint(
                condition=Q(opens__isnull=True, closes__isnull=True)
                | Q(opens__isnull=False, closes__isnull=False, closes__gt=F("opens")),
                name="weekday_closes_after_it_opens",
            ),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="weekday_is_one_of_seven"),
        ]

    def __str__(self) -> str:
        name = WEEKDAYS[self.weekday]
        return f"{name} {self.opens:%H:%M} to {self.closes:%H:%M}" if self.opens else name


class Closure(LedgerEntry):
    """Days the house is closed, both counted; a repeating one comes back until it is ended."""

    class Repeats(models.TextChoices):
        ONCE = "", "once"
        WEEKLY = "weekly", "every week"
        YEARLY = "yearly", "every year"

    first = models.DateField()
    last = models.DateField()
    reason = models.CharField(max_length=80)
    repeats = models.CharField(
        max_length=10, choices=Repeats.choices, blank=True, default=Repeats.ONCE
    )
    until = models.DateField(null=True, blank=True)

    class Meta(LedgerEntry.Meta):
        ordering = ["first", "at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="closure_ends_after_it_starts"
            )
        ]

    def __str__(self) -> str:
        return self.reason


class Absence(LedgerEntry):
    """Days on which someone of the house does not work, both counted.

    ``since`` and ``until`` are the hours of each of these days, by the house's clock: empty is from
    its beginning and to its end. Why is told in a word only: nobody's health belongs in this book.
    """

    class Kind(models.TextChoices):
        LEAVE = "leave", "on leave"
        AWAY = "away", "away"
        TRAVELLING = "travelling", "travelling for the house"
        TRAINING = "training", "learning elsewhere"

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="absences"
    )
    first = models.DateField()
    last = models.DateField()
    since = models.TimeField(null=True, blank=True)
    until = models.TimeField(null=True, blank=True)
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.LEAVE)

    class Meta(LedgerEntry.Meta):
        ordering = ["first", "at", "id"]
        indexes = [models.Index(fields=["last", "first"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="absence_ends_after_it_starts"
            ),
            models.CheckConstraint(
                condition=Q(since__isnull=True) | Q(until__isnull=True) | Q(until__gt=F("since")),
                name="absent_hours_end_after_they_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.get_kind_display()}"

    @property
    def whole_days(self) -> bool:
        return self.since is None and self.until is None

    @property
    def hours_text(self) -> str:
        """Of which hours, as it is spoken; nothing for whole days."""
        if self.since and self.until:
            return f"from {self.since:%H:%M} to {self.until:%H:%M}"
        if self.since:
            return f"from {self.since:%H:%M} on"
        return f"until {self.until:%H:%M}" if self.until else ""


class HolidayRule(LedgerEntry):
    """Whose public holidays the house keeps from here on; the newest standing entry holds.

    ``country`` is an ISO 3166 code, empty when the house keeps none. ``open_anyway`` are the names
    of holidays it works on all the same.
    """

    country = models.CharField(max_length=2, blank=True, default="")
    subdivision = models.CharField(max_length=40, blank=True, default="")
    open_anyway = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return " ".join(filter(None, (self.country, self.subdivision))) or "no public holidays"
