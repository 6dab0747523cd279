"""What a customer wishes otherwise than the cut has it, and the measures of the garment made."""

from django.conf import settings
from django.db import models

from customers.fields import LengthField
from customers.ledger import LedgerEntry
from garments.models.garment import Garment


class GarmentWish(LedgerEntry):
    """A finished measure is to be ``amount`` more than the cut has it, or less, on both sides.

    ``accepted_by`` takes on a wish against the house's standard; without that name such a wish
    moves nothing. A newer wish for the same point strikes the older.
    """

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="wishes")
    point = models.CharField(max_length=40)
    amount = LengthField()
    note = models.CharField(max_length=300, blank=True, default="")
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "garment wishes"
        indexes = [models.Index(fields=["garment", "at"])]

    def __str__(self) -> str:
        return f"{self.point} {self.amount}"


class FinishedMeasure(LedgerEntry):
    """One point of the garment as it measured then. A later one shows what the bench changed."""

    class Where(models.TextChoices):
        BOARD = "board", "on the board"
        BODY = "body", "on the customer"

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="finished_measures")
    point = models.CharField(max_length=40)
    side = models.CharField(max_length=1, blank=True, default="")
    value = LengthField()
    where = models.CharField(max_length=10, choices=Where.choices, default=Where.BOARD)

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["garment", "point", "side", "at"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(value__gt=0), name="finished_measure_is_positive"
            )
        ]

    def __str__(self) -> str:
        return f"{self.point} {self.side} {self.value}".replace("  ", " ")
