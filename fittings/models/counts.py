"""What the review counts, once for each garment and alteration: no part of the record.

Made from the ledger by ``fittings.review.counting`` and made again whole for every garment that
something was entered of since; triggers on the ledger's tables say which those are.
"""

import uuid

from django.db import models


class Recount(models.Model):
    """Something was entered that may change what the review counts: one of these is named.

    A row for each entry and never one for each garment: an entry not yet committed while others
    are counted keeps a row of its own, and is counted next time. ``entered`` is the table of the
    entry, or a garment's ``stage``; empty: anything.
    """

    garment_id = models.BigIntegerField(null=True)
    alteration_id = models.UUIDField(null=True)
    revision_id = models.UUIDField(null=True)
    fitting_id = models.UUIDField(null=True)
    # Null and not "": SQLite would make the table anew, and triggers of others write to it.
    entered = models.CharField(max_length=40, null=True)

    def __str__(self) -> str:
        return f"{self.garment_id or self.alteration_id or self.revision_id or self.fitting_id}"


class CountMark(models.Model):
    """The state of everything that the review shows, by a name that no two states share.

    One row, named anew whenever something is counted anew. By chance and not by number: a backup
    restored would give a number a second meaning. ``epoch`` is named anew when it cannot be said
    which months that touched.
    """

    mark = models.UUIDField(default=uuid.uuid4)
    epoch = models.UUIDField(default=uuid.uuid4)

    def __str__(self) -> str:
        return str(self.mark)


class MonthMark(models.Model):
    """The state of what is counted of one kind of moment in one month of the house, as above.

    A month without one is as it was when the epoch began.
    """

    kind = models.CharField(max_length=10)
    month = models.DateField()
    mark = models.CharField(max_length=36)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "month"], name="one_mark_of_a_month")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.month:%Y-%m}"


OWN = ("kind", "cutter_id", "cut_version_id", "cloth_pattern", "fitter_id", "maker_id")


class CountGroups(models.Model):
    """Whose a counted row is. Plain copies: a join for each row was most of a page's time."""

    kind = models.CharField(max_length=10)
    cutter_id = models.BigIntegerField()
    cut_version_id = models.BigIntegerField()
    cloth_pattern = models.CharField(max_length=10)
    fitter_id = models.BigIntegerField(null=True)
    maker_id = models.BigIntegerField(null=True)

    class Meta:
        abstract = True


class GarmentCount(CountGroups):
    """One garment: its leaving the work and its first fitting, each empty until there is one.

    Days are the house's; what is counted of it is 0 or 1. ``back_days`` are whole days from leaving
    to the first return, however late; ``again`` and ``back`` only count within the watch. Each
    index holds every column that is asked for by its moment: the table itself is never read.
    """

    garment_id = models.BigIntegerField(primary_key=True)
    left_at = models.DateTimeField(null=True)
    left_on = models.DateField(null=True)
    delivered = models.SmallIntegerField(default=0)
    again = models.SmallIntegerField(default=0)
    back = models.SmallIntegerField(default=0)
    back_days = models.IntegerField(null=True)
    promised = models.SmallIntegerField(default=0)
    late = models.SmallIntegerField(default=0)
    looks = models.IntegerField(default=0)
    looked_at = models.DateTimeField(null=True)
    looked_on = models.DateField(null=True)
    answered = models.CharField(max_length=20, default="")
    faults = models.IntegerField(default=0)

    class Meta:
        indexes = [
            models.Index(
                fields=[
                    "left_at",
                    *OWN,
                    "garment_id",
                    "left_on",
                    "delivered",
                    "again",
                    "back",
                    "back_days",
                    "promised",
                    "late",
                    "looks",
                ],
                name="garment_counts_by_leaving",
            ),
            models.Index(
                fields=["looked_at", *OWN, "garment_id", "looked_on", "answered", "faults"],
                name="garment_counts_by_look",
            ),
        ]

    def __str__(self) -> str:
        return str(self.garment_id)


class AlterationCount(CountGroups):
    """One alteration that was judged: what the first look after it said."""

    alteration_id = models.UUIDField(primary_key=True)
    garment_id = models.BigIntegerField(db_index=True)
    operation = models.CharField(max_length=40)
    judged_at = models.DateTimeField()
    judged_on = models.DateField()
    cured = models.SmallIntegerField()

    class Meta:
        indexes = [
            models.Index(
                fields=[
                    "judged_at",
                    *OWN,
                    "garment_id",
                    "alteration_id",
                    "operation",
                    "judged_on",
                    "cured",
                ],
                name="alteration_counts_by_judging",
            )
        ]

    def __str__(self) -> str:
        return str(self.alteration_id)


class StageCount(models.Model):
    """The days a garment stood at a stage before it first left the work, of each time it did."""

    garment_id = models.BigIntegerField(db_index=True)
    kind = models.CharField(max_length=10)
    cutter_id = models.BigIntegerField()
    cut_version_id = models.BigIntegerField()
    left_at = models.DateTimeField()
    stage = models.CharField(max_length=20)
    days = models.FloatField()

    class Meta:
        indexes = [
            models.Index(
                fields=[
                    "left_at",
                    "stage",
                    "days",
                    "kind",
                    "cutter_id",
                    "cut_version_id",
                    "garment_id",
                ],
                name="stage_counts_by_leaving",
            )
        ]

    def __str__(self) -> str:
        return f"{self.garment_id} {self.stage}"


class SeenCount(models.Model):
    """A fault seen at a zone of a garment at one fitting, once, whatever sides it was entered for.

    ``before_at`` is when it was seen there before: a garment is counted in some days by the row
    whose last time lies before them. The index holds every column that is asked for: the table
    itself is never read.
    """

    fitting_id = models.UUIDField()
    garment_id = models.BigIntegerField(db_index=True)
    kind = models.CharField(max_length=10)
    zone = models.CharField(max_length=30)
    fault = models.CharField(max_length=60)
    seen_at = models.DateTimeField()
    before_at = models.DateTimeField(null=True)
    cutter_id = models.BigIntegerField()
    cut_version_id = models.BigIntegerField()

    class Meta:
        indexes = [
            models.Index(
                fields=[
                    "seen_at",
                    "kind",
                    "zone",
                    "fault",
                    "before_at",
                    "garment_id",
                    "fitting_id",
                    "cutter_id",
                    "cut_version_id",
                ],
                name="seen_counts_by_day",
            )
        ]

    def __str__(self) -> str:
        return f"{self.garment_id} {self.zone} {self.fault}"


class FaultCount(models.Model):
    """A fault seen on a garment, and the beginning of the first fitting that saw it."""

    garment_id = models.BigIntegerField()
    fault = models.CharField(max_length=60)
    seen_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["garment_id", "fault"], name="one_count_of_a_fault")
        ]

    def __str__(self) -> str:
        return f"{self.garment_id} {self.fault}"
