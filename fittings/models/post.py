"""What the house writes to its customers, and the calendars it gives its own people."""

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.models import Customer
from fittings.models.diary import Booking, Room
from garments.models import Garment


class PostRules(models.Model):
    """How the house writes and what its calendars show: one row, made when first asked for."""

    class Reminders(models.TextChoices):
        ASKED = "asked", "when someone has looked at each and sends it"
        ALONE = "alone", "by themselves, as shown in the list beforehand"

    class Shows(models.TextChoices):
        NUMBER = "number", "the customer's number alone"
        INITIALS = "initials", "initials and number"
        NAME = "name", "the whole name and number"

    reminder_days = models.PositiveSmallIntegerField(
        default=2, validators=[MinValueValidator(1), MaxValueValidator(30)]
    )
    reminders = models.CharField(max_length=10, choices=Reminders.choices, default=Reminders.ASKED)
    on_closed_days = models.BooleanField(default=False)
    feed_shows = models.CharField(max_length=10, choices=Shows.choices, default=Shows.INITIALS)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "post rules"

    def __str__(self) -> str:
        return "rules of the post"

    @classmethod
    def get(cls) -> "PostRules":
        """The row; its key is fixed, so that two who ask first at once make one."""
        return cls.objects.get_or_create(pk=1)[0]


class MessageKind(models.TextChoices):
    CONFIRMATION = "confirmation", "confirmation"
    REMINDER = "reminder", "reminder"
    CHANGE = "change", "change of time"
    CANCELLATION = "cancellation", "cancellation"
    READY = "ready", "ready for collection"


class Wording(LedgerEntry):
    """How a kind of message reads from here on; ``strikes`` is the version before it."""

    kind = models.CharField(max_length=15, choices=MessageKind.choices)
    number = models.PositiveIntegerField()
    subject = models.CharField(max_length=150)
    body = models.TextField(max_length=4000)
    short = models.TextField(max_length=600)

    class Meta(LedgerEntry.Meta):
        ordering = ["kind", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "number"], name="one_wording_of_a_number")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"


class Message(models.Model):
    """One message as it was shown, and what became of it: the outbox.

    ``occasion`` names what it tells of; one message that holds may tell of it, by a constraint.
    A worker that sends it claims it first: ``claim`` is the worker's own mark, ``next_try_at`` the
    earliest moment. ``booking_version`` is the booking's as told.
    """

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENDING = "sending", "being sent"
        SENT = "sent", "sent"
        TOLD = "told", "told by phone"
        STOPPED = "stopped", "stopped"
        FAILED = "failed", "not sent"
        UNSURE = "unsure", "perhaps sent"
        HELD = "held", "held back"

    HOLDING = (State.WAITING, State.SENDING, State.SENT, State.TOLD, State.UNSURE, State.HELD)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    kind = models.CharField(max_length=15, choices=MessageKind.choices)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="letters")
    booking = models.ForeignKey(
        Booking, null=True, blank=True, on_delete=models.PROTECT, related_name="letters"
    )
    garment = models.ForeignKey(
        Garment, null=True, blank=True, on_delete=models.PROTECT, related_name="letters"
    )
    booking_version = models.PositiveIntegerField(default=0)
    occasion = models.CharField(max_length=120)
    wording = models.PositiveIntegerField()
    address = models.CharField(max_length=254, blank=True, default="")
    subject = models.CharField(max_length=300)
    body = models.TextField()
    short = models.TextField()
    calendar = models.TextField(blank=True, default="")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    written_at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(default=timezone.now)
    claim = models.UUIDField(null=True, blank=True)
    claimed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-written_at", "pk"]
        indexes = [
            models.Index(fields=["state", "next_try_at"]),
            models.Index(fields=["occasion"]),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["occasion"],
                condition=Q(state__in=["waiting", "sending", "sent", "told", "unsure", "held"]),
                name="one_message_of_an_occasion",
            ),
            models.CheckConstraint(
                condition=Q(booking__isnull=False, garment__isnull=True)
                | Q(booking__isnull=True, garment__isnull=False),
                name="message_is_of_a_booking_or_a_garment",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} to {self.customer.number}"

    def get_absolute_url(self) -> str:
        return reverse("post:message_detail", args=[self.pk])


class MessageEvent(models.Model):
    """One thing that happened to a message, only added to; ``by`` is nobody for the timer."""

    class What(models.TextChoices):
        WRITTEN = "written", "written"
        TOLD = "told", "told by phone"
        HELD = "held", "held back"
        SENT = "sent", "handed to the mail server"
        TRIED = "tried", "tried in vain"
        FAILED = "failed", "given up"
        STOPPED = "stopped", "stopped"
        UNSURE = "unsure", "broken off while it was sent"
        AGAIN = "again", "put back to waiting"

    message = models.ForeignKey(Message, on_delete=models.PROTECT, related_name="events")
    at = models.DateTimeField(default=timezone.now)
    what = models.CharField(max_length=10, choices=What.choices)
    why = models.CharField(max_length=300, blank=True, default="")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.get_what_display()


class FeedKey(LedgerEntry):
    """A secret address of one fitter's or one room's calendar; only its hash is kept.

    Renewed, the new key ``strikes`` the old one; taken back, a ``void`` entry does.
    """

    fitter = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="feed_keys",
    )
    room = models.ForeignKey(
        Room, null=True, blank=True, on_delete=models.PROTECT, related_name="feed_keys"
    )
    digest = models.CharField(max_length=64, db_index=True, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(fitter__isnull=False, room__isnull=True)
                | Q(fitter__isnull=True, room__isnull=False),
                name="feed_is_of_a_fitter_or_a_room",
            )
        ]

    def __str__(self) -> str:
        return f"calendar of {self.fitter or self.room}"
