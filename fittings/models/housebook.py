"""What the house says of the catalogue: every change of a row, kept."""

from django.db import models

from customers.ledger import LedgerEntry


class CatalogueEntry(LedgerEntry):
    """One row of the catalogue as the house has it from here on.

    ``number`` counts all entries in the order they were kept, so the newest names the state of the
    whole catalogue. ``strikes`` is the entry of the same row before it; a ``void`` entry puts the
    shipped row back. ``edit`` is the tap that made it, with the rows that came with it.
    """

    class Table(models.TextChoices):
        FAULT = "fault", "fault"
        CAUSE = "cause", "cause"
        LINK = "link", "link"
        REMEDY = "remedy", "remedy"

    number = models.PositiveIntegerField(unique=True)
    edit = models.UUIDField(db_index=True)
    table = models.CharField(max_length=10, choices=Table.choices)
    key = models.CharField(max_length=400)
    data = models.JSONField(default=dict)
    retired = models.BooleanField(default=False)
    first = models.BooleanField(default=False)
    why = models.CharField(max_length=300)

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["table", "key", "number"])]
        verbose_name_plural = "catalogue entries"

    def __str__(self) -> str:
        return f"{self.table} {self.key}"
