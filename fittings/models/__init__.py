from fittings.models.diary import Booking, BookingChange, Room
from fittings.models.session import (
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
)

__all__ = [
    "Booking",
    "BookingChange",
    "CauseTaken",
    "Decision",
    "Fitting",
    "Judgement",
    "Observation",
    "Photograph",
    "Room",
]
