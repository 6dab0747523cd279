"""What promises are made from: who makes, what the house's own stages take, agreed overtime."""

import datetime

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from customers.ledger import LedgerEntry
from fittings.promise import CRAFTS
from fittings.promise.benches import BENCH_MINUTES, LONGEST_DAY
from fittings.promise.stages import MOST_DAYS, MOST_MINUTES
from garments.models import Kind

CRAFT_CHOICES = list(CRAFTS.items())
DAY_MINUTES = [MinValueValidator(1), MaxValueValidator(LONGEST_DAY)]


class Maker(models.Model):
    """Someone who makes, at the bench of one craft, from a day on and perhaps to a last one.

    ``user`` only where they sign in too: then their days off in the diary count here as well.
    """

    name = models.CharField(max_length=60)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="benches",
    )
    craft = models.CharField(max_length=20, choices=CRAFT_CHOICES)
    minutes = models.PositiveSmallIntegerField(default=BENCH_MINUTES, validators=DAY_MINUTES)
    since = models.DateField(default=timezone.localdate)
    until = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["craft", "name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="maker_leaves_after_coming",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def sits_until(self, day: datetime.date) -> bool:
        """Whether the maker is still there on ``day`` or comes later."""
        return self.until is None or self.until >= day


class StageTime(LedgerEntry):
    """What a stage takes in this house, in place of the figure that comes with the program.

    Bench minutes of one pair of hands (none for a fitting or a wait), and the days by the calendar
    that pass after it.
    """

    kind = models.CharField(max_length=10, choices=Kind.choices)
    stage = models.CharField(max_length=30)
    minutes = models.PositiveIntegerField(validators=[MaxValueValidator(MOST_MINUTES)])
    wait_days = models.PositiveIntegerField(validators=[MaxValueValidator(MOST_DAYS)])
    reason = models.CharField(max_length=200)

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["kind", "stage"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.stage}"


class AgreedOvertime(LedgerEntry):
    """Minutes more a day for every maker of a craft, on the open days of a period."""

    craft = models.CharField(max_length=20, choices=CRAFT_CHOICES)
    minutes = models.PositiveSmallIntegerField(validators=DAY_MINUTES)
    first = models.DateField()
    last = models.DateField()

    class Meta(LedgerEntry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="overtime_ends_after_it_starts"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_craft_display()} {self.minutes} min"
