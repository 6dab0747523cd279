"""The one table of what the house holds of a customer: what is shown, handed over and erased.

A test walks every model and refuses one that is neither here nor named there as nobody's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db import models
from django.db.models import Q

from customers.models import Changed, Consent, Customer, Measurement, MeasurementSet
from customers.models import ReadingConfirmed as Confirmed
from fittings.models import (
    Booking,
    BookingChange,
    CallBack,
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Message,
    MessageEvent,
    Observation,
    Omission,
    Photograph,
    PhotographDeletion,
    PhotographPin,
    Remark,
    SpotAnswer,
    Waiting,
)
from fittings.privacy.way_past import ERASED, WORDS
from garments.models import (
    Alteration,
    Answer,
    CarryAnswer,
    FinishedMeasure,
    Garment,
    GarmentWish,
    InlayMovement,
    PassedLine,
    Remake,
    StageEntry,
    Ticket,
    TicketLine,
    TicketRevision,
)


@dataclass(frozen=True, slots=True)
class Holding:
    """A table with rows of customers: ``path`` leads from a row to its customer.

    ``words`` are the columns people write freely into, which may name the person.
    """

    label: str
    model: type[models.Model]
    path: str
    words: tuple[str, ...] = ()

    @property
    def table(self) -> str:
        return self.model._meta.db_table

    @property
    def guarded(self) -> bool:
        return self.table in WORDS

    def of(self, customer: Customer) -> models.QuerySet[Any]:
        return self.model._default_manager.filter(**{self.path: customer})

    @property
    def some_words(self) -> Q:
        """Whether a row holds any free words; what an erasure left in their place is none."""
        some = Q(pk__in=())  # no column, no words; an empty Q would let every row in
        for column in self.words:
            some |= ~Q(**{f"{column}__in": ("", ERASED)})
        return some

    def worded(self, customer: Customer) -> models.QuerySet[Any]:
        """The customer's rows that hold any free words."""
        return self.of(customer).filter(self.some_words)


_OF_GARMENT: Final = "garment__customer"
_OF_FITTING: Final = "fitting__customer"
_OF_TICKET: Final = "ticket__garment__customer"
_MAIL: Final = ("address", "subject", "body", "short", "calendar")

HOLDINGS: Final[Sequence[Holding]] = (
    Holding("Consents", Consent, "customer", ("wording",)),
    Holding("Changes of their details", Changed, "customer"),
    Holding("Sets of measures", MeasurementSet, "customer", ("note",)),
    Holding("Measures", Measurement, "in_set__customer"),
    Holding("Readings confirmed", Confirmed, "in_set__customer"),
    Holding("Garments", Garment, "customer", ("notes",)),
    Holding("Stages of the work", StageEntry, _OF_GARMENT, ("reason",)),
    Holding("Inlays", InlayMovement, _OF_GARMENT),
    Holding("Wishes", GarmentWish, _OF_GARMENT, ("note",)),
    Holding("Measures of garments", FinishedMeasure, _OF_GARMENT),
    Holding("Alterations", Alteration, _OF_GARMENT, ("why",)),
    Holding("Workroom tickets", Ticket, _OF_GARMENT),
    Holding("What the tickets said", TicketRevision, _OF_TICKET, ("note", "reason")),
    Holding("Lines of tickets", TicketLine, f"revision__{_OF_TICKET}"),
    Holding("Answers of the bench", Answer, f"revision__{_OF_TICKET}", ("reason",)),
    Holding("Remakes", Remake, "replaces__customer", ("reason",)),
    Holding("Changes carried into a pattern", CarryAnswer, _OF_GARMENT, ("reason",)),
    Holding("Lines passed before the shears", PassedLine, _OF_GARMENT, ("reason",)),
    Holding("Bookings", Booking, "customer", ("note",)),
    Holding("What became of bookings", BookingChange, "booking__customer", ("reason",)),
    Holding("Waiting for a time", Waiting, "customer", ("note",)),
    Holding("Calls to make again", CallBack, "booking__customer", ("note",)),
    Holding("Fittings", Fitting, "customer"),
    Holding("What was seen", Observation, _OF_FITTING, ("note",)),
    Holding("Remarks", Remark, _OF_FITTING, ("text",)),
    Holding("Causes taken", CauseTaken, _OF_FITTING, ("words",)),
    Holding("Tests on the spot", SpotAnswer, _OF_FITTING),
    Holding("Judgements", Judgement, _OF_FITTING, ("note",)),
    Holding("Next steps", Decision, _OF_FITTING, ("note",)),
    Holding("Photographs", Photograph, "customer", ("caption",)),
    Holding("Photographs deleted", PhotographDeletion, "photograph__customer", ("reason",)),
    Holding("Pins on photographs", PhotographPin, "photograph__customer"),
    Holding("Messages", Message, "customer", _MAIL),
    Holding("What became of messages", MessageEvent, "message__customer", ("why",)),
    Holding("Left out of learning", Omission, f"alteration__{_OF_GARMENT}", ("note",)),
)
