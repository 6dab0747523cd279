"""What somebody took on by name so that a garment could be cut."""

from django.db import models

from customers.ledger import LedgerEntry
from customers.models import MeasurementSet
from garments.models.garment import Garment


class PassedLine(LedgerEntry):
    """A line of the page before the shears passed over, for the words it ``told`` then.

    Once the line tells other words it is open again. ``by`` takes it on.
    """

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="passed_lines")
    measurement_set = models.ForeignKey(MeasurementSet, on_delete=models.PROTECT, related_name="+")
    line = models.CharField(max_length=60)
    told = models.CharField(max_length=500)
    reason = models.CharField(max_length=300)

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["garment", "at"])]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(reason=""), name="passing_a_line_needs_a_reason"
            )
        ]

    def __str__(self) -> str:
        return f"{self.line}: {self.reason}"
