from fittings.models.diary import Booking, BookingChange, Room
from fittings.models.session import (
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
)

__all__ = [
    "Booking",
    "BookingChange",
    "Decision",
    "Fitting",
    "Judgement",
    "Observation",
    "Photograph",
    "Room",
]
