"""What the fitter answered to the pattern's memory: carried into the next pattern, or left out."""

from django.db import models

from customers.fields import LengthField
from customers.ledger import LedgerEntry
from garments.models.alteration import Side
from garments.models.garment import Garment


class CarryAnswer(LedgerEntry):
    """A change of the pattern proposed for a garment, accepted or refused, at one seam.

    ``amount`` is what was accepted, on each side named; ``proposed``, ``count`` and ``sureness``
    are what the memory said at that moment (``garments.memory``). A newer answer at the same place
    strikes the older.
    """

    class Sureness(models.TextChoices):
        SURE = "sure", "sure"
        FAIRLY = "fairly", "fairly sure"
        UNSURE = "unsure", "not sure"

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="carry_answers")
    operation = models.CharField(max_length=40)
    seam = models.CharField(max_length=30)
    side = models.CharField(max_length=4, choices=Side.choices, blank=True, default="")
    amount = LengthField()
    accepted = models.BooleanField()
    reason = models.CharField(max_length=300, blank=True, default="")
    proposed = LengthField()
    count = models.PositiveSmallIntegerField()
    sureness = models.CharField(max_length=10, choices=Sureness.choices)

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["garment", "at"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(amount__gt=0), name="carried_amount_is_positive"
            ),
            models.CheckConstraint(
                condition=models.Q(accepted=True) | ~models.Q(reason="") | models.Q(void=True),
                name="leaving_out_needs_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation} {self.seam} {self.side} {self.amount}".replace("  ", " ")
