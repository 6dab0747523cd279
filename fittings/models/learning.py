"""What the house has learnt from its judged alterations, and what it shall not learn from."""

from django.db import models

from customers.ledger import LedgerEntry
from garments.models import Alteration


class Omission(LedgerEntry):
    """The owner lets the ledger not learn: from one alteration, or for one whole figure.

    A figure is named by its keys: a remedy by cause, fault and operation; a link by cause and
    fault; a cause's prior by cause and kind.
    """

    alteration = models.ForeignKey(
        Alteration, null=True, blank=True, on_delete=models.PROTECT, related_name="omissions"
    )
    cause = models.CharField(max_length=40, blank=True, default="")
    fault = models.CharField(max_length=60, blank=True, default="")
    operation = models.CharField(max_length=40, blank=True, default="")
    kind = models.CharField(max_length=10, blank=True, default="")
    note = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=models.Q(alteration__isnull=True) ^ models.Q(cause=""),
                name="omission_of_a_case_or_a_figure",
            )
        ]

    def __str__(self) -> str:
        return " ".join(filter(None, (self.cause, self.fault, self.operation, self.kind))) or str(
            self.alteration_id
        )


class Lessons(models.Model):
    """What all cases judged before a day come to. One row, made again whole: no part of the record.

    Whatever is struck is gone from it the next time it is made, because nothing is added up twice.
    """

    before = models.DateField()
    made_at = models.DateTimeField(auto_now=True)
    cases = models.PositiveIntegerField(default=0)
    figures = models.JSONField(default=list)
    calibration = models.JSONField(default=dict)

    class Meta:
        verbose_name_plural = "lessons"

    def __str__(self) -> str:
        return f"before {self.before}"
