"""What was erased and why, how long things are kept, and who has looked at whom."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.models import Customer


class Erasure(LedgerEntry):
    """A person was taken out of the ledger.

    It names the customer by their number and says why in a word of the list: free words would
    bring back what was just taken out. ``redacted`` are the rows it emptied.
    """

    class Reason(models.TextChoices):
        ASKED = "asked", "they asked for it"
        KEPT = "kept-long-enough", "kept as long as the house's rule says"
        MISTAKE = "mistake", "it should never have been kept"

    customer = models.OneToOneField(Customer, on_delete=models.PROTECT, related_name="erasure")
    reason = models.CharField(max_length=20, choices=Reason.choices)

    def __str__(self) -> str:
        return f"erasure of {self.customer.number}"


class Redacted(models.Model):
    """One row of the ledger that an erasure emptied: the way past the guard.

    The guards let exactly these rows go (``fittings.privacy.way_past``). ``row_key`` is the row's
    primary key as text, a UUID in hex without hyphens.
    """

    erasure = models.ForeignKey(Erasure, on_delete=models.PROTECT, related_name="redacted")
    held_in = models.CharField(max_length=60)
    row_key = models.CharField(max_length=40)

    class Meta:
        verbose_name_plural = "redacted"
        constraints = [
            models.UniqueConstraint(fields=["held_in", "row_key"], name="a_row_is_redacted_once")
        ]

    def __str__(self) -> str:
        return f"{self.held_in} {self.row_key}"


class RetentionRule(LedgerEntry):
    """How long the house keeps people and photographs from here on; the newest entry holds.

    ``years`` count from the last visit, delivery, order or booking, ``photograph_months`` from the
    day a photograph was taken; empty means for good. Only ``alone`` lets the timer act.
    """

    years = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(100)]
    )
    photograph_months = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(1200)]
    )
    alone = models.BooleanField(default=False)

    def __str__(self) -> str:
        return f"{self.years} years, photographs {self.photograph_months} months"


class Seen(models.Model):
    """Someone opened a page that shows a customer, or a list of them, or was refused it.

    No part of the ledger: it goes after a year. At most one row for a person, a page, a customer
    and an hour, which ``mark`` stands for. ``customer`` is a plain key, empty for a list.
    """

    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    customer = models.BigIntegerField(null=True)
    page = models.CharField(max_length=60)
    refused = models.BooleanField(default=False)
    mark = models.CharField(max_length=120, unique=True)

    class Meta:
        verbose_name_plural = "seen"
        indexes = [
            models.Index(fields=["at"]),
            models.Index(fields=["customer", "at"]),
            models.Index(fields=["by", "at"]),
        ]

    def __str__(self) -> str:
        return f"{self.page} by {self.by_id}"
