"""Fittings in another town: who of the house is where, on which days."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from customers.ledger import LedgerEntry
from fittings.models.diary import Room

LONGEST_WAY = 24 * 60  # minutes; who is longer on the way leaves on a day of the trip


class Trip(LedgerEntry):
    """Fitters of the house work at a place in another town on fixed days, both counted.

    ``repeats`` says how the days come back: every ``every`` weeks, or every month on the same
    weekday of it, until the day ``until``. Times are by the house's clock, ways in minutes. What
    does not take place is told by ``TripCalledOff``: the trip itself is never changed.
    """

    class Repeats(models.TextChoices):
        ONCE = "", "once"
        WEEKLY = "weekly", "every so many weeks"
        MONTHLY = "monthly", "every month, on the same weekday of it"

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="trips")
    fitters = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="trips")
    first = models.DateField()
    last = models.DateField()
    repeats = models.CharField(
        max_length=10, choices=Repeats.choices, blank=True, default=Repeats.ONCE
    )
    every = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(26)]
    )
    until = models.DateField(null=True, blank=True)
    opens = models.TimeField()
    closes = models.TimeField()
    there = models.PositiveSmallIntegerField(validators=[MaxValueValidator(LONGEST_WAY)])
    back = models.PositiveSmallIntegerField(validators=[MaxValueValidator(LONGEST_WAY)])

    class Meta(LedgerEntry.Meta):
        ordering = ["first", "at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="trip_ends_after_it_starts"
            ),
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")), name="trip_closes_after_it_opens"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.room}, {self.first}"

    def get_absolute_url(self) -> str:
        return reverse("travelling:trip_detail", args=[self.pk])


class TripCalledOff(LedgerEntry):
    """The days that begin on ``first`` do not take place; ``onwards``: none after them either."""

    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="called_off")
    first = models.DateField()
    onwards = models.BooleanField(default=False)
    reason = models.CharField(max_length=200)

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["trip", "at"])]

    def __str__(self) -> str:
        return self.reason
