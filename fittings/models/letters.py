"""The owner's monthly letters that went out by mail."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone


class OwnerLetter(models.Model):
    """One sending of one month's letter to one owner, and what became of it.

    It is kept before the mail server is spoken to: a month that is being sent, or was, is not sent
    again by itself. ``by`` is nobody for the timer. Who stopped in the midst of sending leaves it
    "being sent": whether the mail server took it nobody knows.
    """

    class State(models.TextChoices):
        SENDING = "sending", "being sent"
        SENT = "sent", "sent"
        FAILED = "failed", "not sent"
        UNSURE = "unsure", "perhaps sent"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    month = models.DateField()
    to = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="monthly_letters"
    )
    address = models.EmailField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=10, choices=State.choices, default=State.SENDING)
    why = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        ordering = ["-at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["month", "to"],
                condition=Q(state__in=["sending", "sent"]),
                name="one_letter_of_a_month",
            )
        ]

    def __str__(self) -> str:
        return f"{self.month:%Y-%m} to {self.address}"
