"""The diary: rooms, bookings, and every change made to one."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from customers.ledger import LedgerEntry
from customers.models import Customer
from garments.models import Garment


class Room(models.Model):
    """Where one customer at a time is fitted: a room of the house, or a place in another town.

    A place (``town`` is not empty) can be booked on the days of a trip to it alone.
    """

    name = models.CharField(max_length=40, unique=True)
    town = models.CharField(max_length=60, blank=True, default="")
    address = models.TextField(max_length=300, blank=True, default="")
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.name}, {self.town}" if self.town else self.name

    @property
    def location(self) -> str:
        """Where to go, in one line; of a room of the house its name alone."""
        return ", ".join(filter(None, [self.name, *self.address.splitlines(), self.town]))


class Booking(models.Model):
    """A time kept for one customer with one fitter in one room.

    While it ``holds`` (booked, arrived, kept) no other holding booking of the same fitter or the
    same room may overlap it: ``fittings/migrations`` makes the database refuse. Times are
    half-open, so 10 to 11 and 11 to 12 touch freely.
    """

    class State(models.TextChoices):
        BOOKED = "booked", "booked"
        ARRIVED = "arrived", "arrived"
        KEPT = "kept", "kept"
        MISSED = "missed", "missed"
        CANCELLED = "cancelled", "cancelled"

    class Purpose(models.TextChoices):
        MEASURE = "measure", "measuring"
        FIRST = "first-fitting", "first fitting"
        FORWARD = "forward-fitting", "forward fitting"
        FINAL = "final-look", "final look"
        RETURN = "return-look", "look at a returned garment"

    COMING = (State.BOOKED, State.ARRIVED)
    HOLDING = (*COMING, State.KEPT)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="bookings")
    garments = models.ManyToManyField(Garment, related_name="bookings", blank=True)
    fitter = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="bookings"
    )
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="bookings")
    purpose = models.CharField(max_length=20, choices=Purpose.choices)
    starts_at = models.DateTimeField(db_index=True)
    ends_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.BOOKED)
    note = models.CharField(max_length=300, blank=True, default="")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [
            models.Index(fields=["fitter", "starts_at"]),
            models.Index(fields=["room", "starts_at"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="booking_ends_after_it_starts"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()} {self.starts_at:%Y-%m-%d %H:%M}"

    def get_absolute_url(self) -> str:
        return reverse("diary:booking_detail", args=[self.pk])


class BookingChange(LedgerEntry):
    """One thing that happened to a booking, with the times and people it had afterwards."""

    class What(models.TextChoices):
        BOOKED = "booked", "booked"
        MOVED = "moved", "moved"
        CANCELLED = "cancelled", "cancelled"
        ARRIVED = "arrived", "arrived"
        KEPT = "kept", "kept"
        MISSED = "missed", "missed"
        REOPENED = "reopened", "put back to booked"

    booking = models.ForeignKey(Booking, on_delete=models.PROTECT, related_name="changes")
    what = models.CharField(max_length=10, choices=What.choices)
    reason = models.CharField(max_length=300, blank=True, default="")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    fitter = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="+")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["booking", "at"])]

    def __str__(self) -> str:
        return self.get_what_display()
