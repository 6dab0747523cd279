"""Tries at a secret, counted so that guessing ends. No record: a right one wipes them."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from fittings.models.keys import SharedTablet


class Try(models.Model):
    """One try by somebody, at a shared tablet or elsewhere."""

    class What(models.TextChoices):
        PIN = "pin", "PIN"
        CODE = "code", "one-time code"
        PASSWORD = "password", "password asked for again"

    what = models.CharField(max_length=10, choices=What.choices)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="tries"
    )
    tablet = models.ForeignKey(
        SharedTablet, null=True, on_delete=models.CASCADE, related_name="tries"
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["what", "person", "at"], name="tries_of_a_person")]

    def __str__(self) -> str:
        return f"{self.what} of {self.person_id}"
