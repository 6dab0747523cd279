"""Who waits for an earlier time, and who is to be called again."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from customers.ledger import LedgerEntry
from customers.models import Customer
from fittings.models.diary import Booking
from garments.models import Garment


class Waiting(LedgerEntry):
    """A customer waits for a time that came free, between two days and two times of the day.

    ``instead_of`` is the booking that would be moved to the earlier time. The entry ends by a void
    one: ``given`` is then the booking that came of it, None where the customer waits no more.
    """

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="waits")
    purpose = models.CharField(max_length=20, choices=Booking.Purpose.choices)
    garments = models.ManyToManyField(Garment, related_name="waits", blank=True)
    fitter = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    first = models.DateField()
    last = models.DateField()
    since = models.TimeField(null=True, blank=True)
    until = models.TimeField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True, default="")
    instead_of = models.ForeignKey(
        Booking, null=True, blank=True, on_delete=models.PROTECT, related_name="waits"
    )
    given = models.ForeignKey(
        Booking, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "waiting"
        indexes = [models.Index(fields=["last", "first"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="waiting_ends_after_it_starts"
            )
        ]

    def __str__(self) -> str:
        return f"{self.customer} waits for a {self.get_purpose_display()}"


class CallBack(LedgerEntry):
    """On which day whoever was missed is to be called again; struck when that is done."""

    booking = models.ForeignKey(Booking, on_delete=models.PROTECT, related_name="call_backs")
    on = models.DateField()
    note = models.CharField(max_length=200, blank=True, default="")

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["booking", "at"])]

    def __str__(self) -> str:
        return f"call again on {self.on}"
