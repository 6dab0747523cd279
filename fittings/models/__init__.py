from fittings.models.diary import Booking, BookingChange, Room
from fittings.models.housebook import CatalogueEntry
from fittings.models.learning import Lessons, Omission
from fittings.models.session import (
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
    PhotographPin,
    Remark,
    SpotAnswer,
)

__all__ = [
    "Booking",
    "BookingChange",
    "CatalogueEntry",
    "CauseTaken",
    "Decision",
    "Fitting",
    "Judgement",
    "Lessons",
    "Observation",
    "Omission",
    "Photograph",
    "PhotographPin",
    "Remark",
    "Room",
    "SpotAnswer",
]
