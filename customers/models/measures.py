"""Measurement sets over time: each saved as one, never changed, corrected by a newer set."""

from collections.abc import Mapping

from django.conf import settings
from django.db import models
from django.urls import reverse

from customers.fields import LengthField
from customers.ledger import LedgerEntry
from customers.lengths import Length
from customers.models.customer import Customer, Unit


class MeasurementSet(LedgerEntry):
    """The measures of one customer taken at one time with one tape.

    ``by`` entered them, ``taken_by`` held the tape. ``strikes`` names the set this one corrects.
    """

    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="measurement_sets"
    )
    taken_on = models.DateField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    unit = models.CharField(max_length=2, choices=Unit.choices)
    note = models.TextField(max_length=1000, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["customer", "taken_on"])]

    def __str__(self) -> str:
        return f"measures of {self.taken_on:%d %b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("customers:set_detail", args=[self.customer.number, self.pk])

    def lengths(self, reading: int = 1) -> Mapping[tuple[str, str], Length]:
        """One of the readings by (point, side); a query unless ``measurements`` was prefetched."""
        return {
            (row.point, row.side): row.value
            for row in self.measurements.all()
            if row.reading == reading
        }


class ReadingConfirmed(LedgerEntry):
    """A reading that was asked about is as the tape said: ``by`` says so, to which question."""

    in_set = models.ForeignKey(
        MeasurementSet, on_delete=models.PROTECT, related_name="readings_confirmed"
    )
    point = models.CharField(max_length=40)
    side = models.CharField(max_length=1, blank=True, default="")
    question = models.CharField(max_length=500)

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "readings confirmed"
        indexes = [models.Index(fields=["in_set", "point", "side"])]

    def __str__(self) -> str:
        return f"{self.point} {self.side} confirmed".replace("  ", " ")


class Measurement(models.Model):
    """One reading of one point. Its set's author and time are its own."""

    class Side(models.TextChoices):
        MIDDLE = "", "one"
        LEFT = "L", "left"
        RIGHT = "R", "right"

    in_set = models.ForeignKey(
        MeasurementSet, on_delete=models.PROTECT, related_name="measurements"
    )
    point = models.CharField(max_length=40)
    side = models.CharField(max_length=1, choices=Side.choices, blank=True, default="")
    reading = models.PositiveSmallIntegerField(default=1)
    value = LengthField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["in_set", "point", "side", "reading"], name="one_reading_per_point"
            ),
            models.CheckConstraint(
                condition=models.Q(reading__in=[1, 2]), name="reading_is_first_or_second"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.point} {self.side} {self.value}".replace("  ", " ")
