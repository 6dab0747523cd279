"""Cuts, garments in work, the stages they pass and what replaces them."""

import uuid

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from customers.fields import LengthField
from customers.ledger import LedgerEntry
from customers.models import Customer, MeasurementSet


class Kind(models.TextChoices):
    COAT = "coat", "coat"
    WAISTCOAT = "waistcoat", "waistcoat"
    TROUSERS = "trousers", "trousers"
    OVERCOAT = "overcoat", "overcoat"


class Stage(models.TextChoices):
    ORDERED = "ordered", "ordered"
    CUT = "cut", "cut"
    BASTED = "basted", "basted for fitting"
    FIRST_FITTING = "first-fitting", "first fitting held"
    ALTERING = "altering", "being altered"
    FORWARD_FITTING = "forward-fitting", "forward fitting held"
    FINISHING = "finishing", "being finished"
    FINISHED = "finished", "finished"
    FINAL_LOOK = "final-look", "final look held"
    DELIVERED = "delivered", "delivered"
    RETURNED = "returned", "back from the customer"
    REMADE = "remade", "replaced by a remake"


IN_WORK = [stage for stage in Stage if stage not in {Stage.DELIVERED, Stage.REMADE}]


class Cloth(models.TextChoices):
    PLAIN = "plain", "plain"
    STRIPE = "stripe", "stripe"
    CHECK = "check", "check"


class Cut(models.Model):
    """A house cut for one kind of garment. What changes about it makes a new version."""

    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(fields=["name", "kind"], name="one_cut_of_a_name_per_kind")
        ]

    def __str__(self) -> str:
        return self.name


class CutVersion(models.Model):
    """One version of a cut; garments keep the version they were cut by.

    ``data`` is its ease, rules and tolerances as ``garments.cutting.read_cut`` reads them; empty
    for a version that has none.
    """

    cut = models.ForeignKey(Cut, on_delete=models.PROTECT, related_name="versions")
    version = models.PositiveIntegerField(default=1)
    note = models.CharField(max_length=300, blank=True, default="")
    made_on = models.DateField(default=timezone.localdate)
    data = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["cut__kind", "cut__name", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["cut", "version"], name="one_row_per_cut_version")
        ]

    def __str__(self) -> str:
        return f"{self.cut.name} {self.version}"


class GarmentQuerySet(models.QuerySet["Garment"]):
    def in_work(self) -> "GarmentQuerySet":
        """Garments the house still owes work on.

        By the stages they may be at: asked for those they are not, a database reads every garment.
        """
        return self.filter(stage__in=IN_WORK)

    def held(self, pk: int) -> "Garment":
        """The garment as it is now, held until the transaction ends, so that writers take turns.

        No joins: PostgreSQL, having waited, no longer finds a row that points elsewhere by now.
        """
        return self.select_for_update().get(pk=pk)

    def for_lists(self) -> "GarmentQuerySet":
        """With everything a one-line mention of a garment shows."""
        return self.select_related("customer", "cut_version__cut", "cutter")

    def for_mentions(self, *more: str) -> "GarmentQuerySet":
        """With its number, its kind, its customer's name and ``more`` alone: a page has many."""
        names = ("title", "given_name", "family_name")
        shown = ("number", "kind", *more, *(f"customer__{name}" for name in names))
        return self.select_related("customer").only(*shown)


class Garment(models.Model):
    """One garment of one customer. ``stage`` is the newest stage entry's; one service writes both.

    ``measurement_set`` is the set it was cut from: once there, that set is frozen. Of the cloth,
    the piece's length and width and the pattern's repeat are empty where nobody entered them.
    ``promised_on`` is the newest promise; what it was when the garment was first delivered stays.
    """

    number = models.CharField(max_length=20, unique=True, editable=False)
    serial = models.PositiveIntegerField(unique=True, editable=False)
    form_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="garments")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    cut_version = models.ForeignKey(CutVersion, on_delete=models.PROTECT, related_name="garments")
    cloth = models.CharField(max_length=120)
    cloth_pattern = models.CharField(max_length=10, choices=Cloth.choices, default=Cloth.PLAIN)
    cloth_length = LengthField(null=True, blank=True)
    cloth_width = LengthField(null=True, blank=True)
    cloth_repeat = LengthField(null=True, blank=True)
    cutter = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="garments_cut"
    )
    measurement_set = models.ForeignKey(
        MeasurementSet, null=True, blank=True, on_delete=models.PROTECT, related_name="garments"
    )
    ordered_on = models.DateField(default=timezone.localdate)
    promised_on = models.DateField(null=True, blank=True)
    promised_when_delivered = models.DateField(null=True, editable=False)
    notes = models.TextField(max_length=2000, blank=True, default="")
    stage = models.CharField(max_length=20, choices=Stage.choices, default=Stage.ORDERED)
    stage_since = models.DateTimeField(default=timezone.now)
    version = models.PositiveIntegerField(default=1)

    objects = GarmentQuerySet.as_manager()

    class Meta:
        ordering = ["-serial"]
        indexes = [
            models.Index(fields=["stage", "promised_on"]),
            models.Index(fields=["ordered_on"]),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("folios:garment_folio", args=[self.number])

    @property
    def delivered(self) -> bool:
        return self.stage not in IN_WORK


class StageEntry(LedgerEntry):
    """A garment reached a stage."""

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="stage_entries")
    stage = models.CharField(max_length=20, choices=Stage.choices)
    reason = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "stage entries"
        indexes = [
            models.Index(fields=["garment", "at"]),
            models.Index(fields=["stage", "at"]),
        ]

    def __str__(self) -> str:
        return f"{self.garment_id} {self.stage}"


class InlayMovement(LedgerEntry):
    """Inlay left, used or freed inside one seam on one side; the sum is what is there now.

    The database refuses a sum below nothing (`garments.inlays.balance`).
    """

    class Reason(models.TextChoices):
        LEFT = "left", "left by the cutter"
        USED = "used", "let out"
        FREED = "freed", "taken in"
        COUNTED = "counted", "measured again on the garment"
        TRIMMED = "trimmed", "trimmed away"
        SNIPPED = "snipped", "snipped"
        SOILED = "soiled", "soiled"
        FADED = "faded", "faded"
        RECUT = "recut", "come back with a piece cut again"

    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="inlay_movements")
    seam = models.CharField(max_length=30)
    side = models.CharField(max_length=1, blank=True, default="")
    amount = LengthField()
    reason = models.CharField(max_length=10, choices=Reason.choices)
    alteration = models.ForeignKey(
        "garments.Alteration",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="inlay_movements",
    )

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["garment", "seam", "side"])]

    def __str__(self) -> str:
        return f"{self.seam} {self.side} {self.amount}"


class Remake(LedgerEntry):
    """A garment, or a main piece of one, cut again at the house's cost.

    ``replaces`` is the garment that failed. A whole remake names the new ``garment``; a piece cut
    again names the ``piece`` and stays the same garment.
    """

    replaces = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="remakes")
    garment = models.OneToOneField(
        Garment, null=True, blank=True, on_delete=models.PROTECT, related_name="remake_of"
    )
    piece = models.CharField(max_length=40, blank=True, default="")
    reason = models.CharField(max_length=300)

    class Meta(LedgerEntry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=models.Q(garment__isnull=True) ^ models.Q(piece=""),
                name="remake_is_whole_or_a_piece",
            )
        ]

    def __str__(self) -> str:
        return f"remake of {self.replaces_id}"
