"""Lists brought in: the upload while it is looked at, and what an import wrote.

An upload and its rows are no part of the record: they go when the list is written, thrown away or
left lying. An import is an entry of the ledger, and so is its taking back.
"""

import uuid

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from customers.ledger import LedgerEntry


class Upload(models.Model):
    """A list until it is written: its text, what its columns mean, how far it is checked.

    ``checked`` is the last row of the file that was looked at; ``answers`` are what the file does
    not say (unit, order of day and month, day of measures, cutter).
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    at = models.DateTimeField(default=timezone.now, db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)
    content = models.BinaryField()
    encoding = models.CharField(max_length=20)
    delimiter = models.CharField(max_length=1)
    rows = models.PositiveIntegerField()
    columns = models.JSONField(default=list)
    answers = models.JSONField(default=dict)
    mapped = models.BooleanField(default=False)
    checked = models.PositiveIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("bringing:upload_detail", args=[self.pk])


class UploadRow(models.Model):
    """One row as read: what it would bring, what is wrong, who its customer is or may be.

    ``known`` is how the row's customer is found by later rows; ``first`` the row of the file that
    the same customer came in first. ``measures``, ``ordered``, ``doubts`` and ``found`` count what
    the plan and the findings hold, so that a list of thousands is added up without reading them.
    """

    class Outcome(models.TextChoices):
        NEW = "new", "new customer"
        JOINS = "joins", "joins a customer of the ledger"
        AGAIN = "again", "same customer as an earlier row"
        ASKS = "asks", "perhaps known: you choose"
        WRONG = "wrong", "something is wrong"

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="rows_read")
    row = models.PositiveIntegerField()
    outcome = models.CharField(max_length=5, choices=Outcome.choices)
    plan = models.JSONField(default=dict)
    findings = models.JSONField(default=list)
    known = models.JSONField(default=dict)
    proposals = models.JSONField(default=list)
    customer = models.BigIntegerField(null=True)
    first = models.PositiveIntegerField(null=True)
    choice = models.CharField(max_length=30, blank=True, default="")
    digest = models.CharField(max_length=32)
    measures = models.PositiveSmallIntegerField(default=0)
    ordered = models.BooleanField(default=False)
    doubts = models.PositiveSmallIntegerField(default=0)
    found = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["row"]
        constraints = [
            models.UniqueConstraint(fields=["upload", "row"], name="one_reading_of_a_row")
        ]

    def __str__(self) -> str:
        return f"row {self.row}"


class Import(LedgerEntry):
    """A list was written, in one piece; a ``void`` one that strikes it took it back, in one piece.

    ``digest`` is the SHA-256 of the file. ``counts`` says how much of each kind came in.
    """

    name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64, db_index=True)
    counts = models.JSONField(default=dict)

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("bringing:import_detail", args=[self.pk])


class Brought(models.Model):
    """One thing an import wrote, by the row it came from. Author and time are the import's.

    Plain keys, no foreign keys: they are still here when the thing itself was taken back.
    ``number`` is the customer's or garment's as it was given.
    """

    import_entry = models.ForeignKey(Import, on_delete=models.PROTECT, related_name="brought")
    row = models.PositiveIntegerField()
    customer = models.BigIntegerField(null=True, db_index=True)
    measurement_set = models.UUIDField(null=True, db_index=True)
    garment = models.BigIntegerField(null=True, db_index=True)
    number = models.CharField(max_length=20, blank=True, default="")

    class Meta:
        ordering = ["row", "pk"]
        verbose_name_plural = "things brought"

    def __str__(self) -> str:
        return self.number or f"measures of row {self.row}"
