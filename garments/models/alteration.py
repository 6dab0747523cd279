"""Alterations decided, the tickets that carry them to the workroom, and the bench's answers."""

import uuid

from django.db import models
from django.urls import reverse

from customers.fields import LengthField
from customers.ledger import LedgerEntry
from garments.models.garment import Garment


class Side(models.TextChoices):
    ONE = "", "in all"
    LEFT = "L", "left"
    RIGHT = "R", "right"
    BOTH = "both", "each side"


class Alteration(LedgerEntry):
    """What was decided to be done: operation, seam, side, amount on each named side, and why.

    ``amount`` is never negative: the operation says the direction. It is empty for operations
    that take none (re-dress the collar).
    """

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="alterations")
    operation = models.CharField(max_length=40)
    seam = models.CharField(max_length=30)
    side = models.CharField(max_length=4, choices=Side.choices, blank=True, default="")
    amount = LengthField(null=True, blank=True)
    cause = models.CharField(max_length=40, blank=True, default="")
    why = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["garment", "at"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(amount__isnull=True) | models.Q(amount__gt=0),
                name="alteration_amount_is_positive",
            )
        ]

    def __str__(self) -> str:
        return f"{self.operation} {self.seam} {self.side} {self.amount or ''}".strip()


class Ticket(models.Model):
    """A workroom ticket for one garment. Its number stays; what it says is in its revisions."""

    number = models.CharField(max_length=20, unique=True, editable=False)
    serial = models.PositiveIntegerField(unique=True, editable=False)
    form_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="tickets")

    class Meta:
        ordering = ["-serial"]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("workroom:ticket_detail", args=[self.number])


class TicketRevision(LedgerEntry):
    """What a ticket says at one time. A change makes the next revision, which replaces this one."""

    ticket = models.ForeignKey(Ticket, on_delete=models.PROTECT, related_name="revisions")
    revision = models.PositiveIntegerField(default=1)
    due_on = models.DateField(db_index=True)
    note = models.TextField(max_length=1000, blank=True, default="")
    reason = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        ordering = ["ticket", "revision"]
        constraints = [
            models.UniqueConstraint(fields=["ticket", "revision"], name="one_row_per_revision")
        ]

    def __str__(self) -> str:
        return f"{self.ticket_id} revision {self.revision}"


class TicketLine(models.Model):
    """One alteration on a revision, in working order, with the inlay before and after.

    Inlay is empty where the seam holds none. For both sides the smaller of the two is kept: it is
    the one that decides.
    """

    revision = models.ForeignKey(TicketRevision, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    alteration = models.ForeignKey(
        Alteration, on_delete=models.PROTECT, related_name="ticket_lines"
    )
    inlay_before = LengthField(null=True, blank=True)
    inlay_after = LengthField(null=True, blank=True)

    class Meta:
        ordering = ["revision", "position"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "position"], name="one_line_per_position"),
            models.UniqueConstraint(
                fields=["revision", "alteration"], name="an_alteration_once_per_revision"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.alteration_id}"


class Answer(LedgerEntry):
    """What the bench says to a revision, and what the fitter answers where it asks."""

    class Kind(models.TextChoices):
        TAKEN = "taken", "taken in hand"
        DONE = "done", "done"
        CANNOT = "cannot", "sent back: cannot be done"
        ASKS = "asks", "asks the fitter"
        REPLIED = "replied", "answered by the fitter"

    revision = models.ForeignKey(TicketRevision, on_delete=models.PROTECT, related_name="answers")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    reason = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["revision", "at"])]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(kind__in=["cannot", "asks"]) | ~models.Q(reason=""),
                name="sending_back_needs_a_reason",
            )
        ]

    def __str__(self) -> str:
        return self.get_kind_display()
