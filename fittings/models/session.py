"""The fitting session: what was seen, what became of the last alterations, what is next."""

import uuid

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from customers.fields import LengthField
from customers.ledger import LedgerEntry
from customers.models import Customer
from fittings.models.diary import Booking
from garments.models import Alteration, Garment, Side


class Fitting(models.Model):
    """One visit: a customer before a fitter, with one or more garments.

    It is open until every garment of it has a standing ``Decision``. Walk-ins have no booking.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="fittings")
    garments = models.ManyToManyField(Garment, related_name="fittings")
    booking = models.OneToOneField(
        Booking, null=True, blank=True, on_delete=models.PROTECT, related_name="fitting"
    )
    fitter = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="fittings"
    )
    purpose = models.CharField(max_length=20, choices=Booking.Purpose.choices)
    started_at = models.DateTimeField(default=timezone.now, db_index=True)

    class Meta:
        ordering = ["-started_at", "pk"]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()} {self.started_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("session:fitting_detail", args=[self.pk])


class Observation(LedgerEntry):
    """A zone looked at: clean (``fault`` empty), or one fault with side and amount.

    ``alterations`` are those that answer it.
    """

    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="observations")
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="observations")
    zone = models.CharField(max_length=30)
    fault = models.CharField(max_length=60, blank=True, default="", db_index=True)
    side = models.CharField(max_length=4, choices=Side.choices, blank=True, default="")
    amount = LengthField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True, default="")
    alterations = models.ManyToManyField(Alteration, related_name="observations", blank=True)

    class Meta(LedgerEntry.Meta):
        indexes = [
            models.Index(fields=["fitting", "garment", "at"]),
            models.Index(fields=["garment", "at"]),
        ]

    def __str__(self) -> str:
        return f"{self.zone}: {self.fault or 'clean'}"


class Remark(LedgerEntry):
    """Something said of a garment at a fitting that is neither a fault nor a clean zone."""

    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="remarks")
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="remarks")
    text = models.CharField(max_length=2000)

    class Meta(LedgerEntry.Meta):
        indexes = [
            models.Index(fields=["fitting", "garment"]),
            models.Index(fields=["garment", "at"]),
        ]

    def __str__(self) -> str:
        return self.text


class CauseTaken(LedgerEntry):
    """What the fitter holds to be behind the faults of a garment: the tool proposed, he decided.

    By its key in the catalogue, or in his own words where it has none that fits. ``proposed`` is
    what the tool said at that moment, so that both stay on record: ``present`` and ``absent``, the
    findings it weighed; ``causes``, {"cause", "probability", "rank"} each, likeliest first;
    ``none``, the probability that no listed cause is there. It is empty where nothing was weighed.
    ``catalogue`` is the version it went by. Two causes may stand side by side.
    """

    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="causes_taken")
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="causes_taken")
    cause = models.CharField(max_length=40, blank=True, default="", db_index=True)
    words = models.CharField(max_length=300, blank=True, default="")
    proposed = models.JSONField(default=dict, blank=True)
    catalogue = models.CharField(max_length=40, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [
            models.Index(fields=["fitting", "garment"]),
            models.Index(fields=["garment", "at"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(cause="") ^ models.Q(words=""),
                name="cause_taken_by_key_or_in_words",
            )
        ]

    def __str__(self) -> str:
        return self.cause or self.words

    @property
    def rank(self) -> int | None:
        """Its place among what was proposed, from 1; None when it was not among that."""
        rows = self.proposed.get("causes", [])
        return next((row["rank"] for row in rows if row["cause"] == self.cause), None)


class SpotAnswer(LedgerEntry):
    """What a test done on the spot answered; ``test`` is its key in the catalogue."""

    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="spot_answers")
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="spot_answers")
    test = models.CharField(max_length=60)
    yes = models.BooleanField()

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["fitting", "garment"])]

    def __str__(self) -> str:
        return f"{self.test}: {'yes' if self.yes else 'no'}"


class Judgement(LedgerEntry):
    """What a later look says of an alteration."""

    class Verdict(models.TextChoices):
        CURED = "cured", "cured"
        BETTER = "better", "better"
        SAME = "same", "same"
        WORSE = "worse", "worse"

    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="judgements")
    alteration = models.ForeignKey(Alteration, on_delete=models.PROTECT, related_name="judgements")
    verdict = models.CharField(max_length=10, choices=Verdict.choices)
    note = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["alteration", "at"])]

    def __str__(self) -> str:
        return self.verdict


class Decision(LedgerEntry):
    """The next step for one garment: it closes the garment's part of the session."""

    class Step(models.TextChoices):
        ALTER = "alter", "alter and look again"
        FINISH = "finish", "finish"
        DELIVER = "deliver", "deliver"
        REMAKE = "remake", "cut again"

    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="decisions")
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="decisions")
    step = models.CharField(max_length=10, choices=Step.choices)
    note = models.CharField(max_length=300, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["fitting", "garment"])]

    def __str__(self) -> str:
        return self.get_step_display()


def photograph_name(instance: "Photograph", _filename: str) -> str:
    """A name that says nothing of the person and owes nothing to what was uploaded."""
    return f"{instance.pk.hex[:2]}/{uuid.uuid4().hex}.jpg"


class Photograph(LedgerEntry):
    """A photograph taken at a fitting, with the customer's consent standing at that moment."""

    class View(models.TextChoices):
        """From where it was taken; two of one view are laid side by side."""

        FRONT = "front", "front"
        BACK = "back", "back"
        LEFT = "left", "left side"
        RIGHT = "right", "right side"
        DETAIL = "", "a detail"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="photographs")
    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="photographs")
    garment = models.ForeignKey(Garment, on_delete=models.PROTECT, related_name="photographs")
    image = models.ImageField(upload_to=photograph_name, width_field="width", height_field="height")
    thumbnail = models.ImageField(upload_to=photograph_name)
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)
    caption = models.CharField(max_length=120, blank=True, default="")
    view = models.CharField(max_length=5, choices=View, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["customer", "at"])]

    def __str__(self) -> str:
        return self.caption or f"photograph of {self.at:%d %b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("session:photograph", args=[self.pk])


class PhotographDeletion(LedgerEntry):
    """A photograph taken off the disk for good; its own entry stays.

    ``asked`` is the tap that asked for it: one for all photographs chosen with it.
    """

    asked = models.UUIDField(db_index=True)
    photograph = models.OneToOneField(Photograph, on_delete=models.PROTECT, related_name="deletion")
    reason = models.CharField(max_length=200)

    def __str__(self) -> str:
        return f"photograph {self.photograph_id} deleted on {self.at:%d %b %Y}"


class PhotographPin(LedgerEntry):
    """Where on a photograph a fault shows, in thousandths of its width and height."""

    photograph = models.ForeignKey(Photograph, on_delete=models.PROTECT, related_name="pins")
    observation = models.ForeignKey(Observation, on_delete=models.PROTECT, related_name="pins")
    x = models.PositiveSmallIntegerField()
    y = models.PositiveSmallIntegerField()

    class Meta(LedgerEntry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=models.Q(x__lte=1000, y__lte=1000), name="pin_lies_on_its_photograph"
            )
        ]

    def __str__(self) -> str:
        return f"{self.observation_id} at {self.x}, {self.y}"
