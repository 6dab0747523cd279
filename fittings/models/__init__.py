from fittings.models.diary import Booking, BookingChange, Room
from fittings.models.housebook import CatalogueEntry
from fittings.models.learning import Lessons, Omission
from fittings.models.post import (
    FeedKey,
    Message,
    MessageEvent,
    MessageKind,
    PostRules,
    Wording,
)
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
    "FeedKey",
    "Fitting",
    "Judgement",
    "Lessons",
    "Message",
    "MessageEvent",
    "MessageKind",
    "Observation",
    "Omission",
    "Photograph",
    "PhotographPin",
    "PostRules",
    "Remark",
    "Room",
    "SpotAnswer",
    "Wording",
]
