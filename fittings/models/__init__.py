from fittings.models.bringing import Brought, Import, Upload, UploadRow
from fittings.models.calendar import Absence, Closure, HolidayRule, OpeningHours
from fittings.models.counts import (
    AlterationCount,
    CountMark,
    FaultCount,
    GarmentCount,
    MonthMark,
    Recount,
    SeenCount,
    StageCount,
)
from fittings.models.diary import Booking, BookingChange, Room
from fittings.models.housebook import CatalogueEntry
from fittings.models.keys import (
    PaperCode,
    PersonChange,
    Pin,
    SecondFactor,
    SharedTablet,
    SignInRules,
)
from fittings.models.learning import Lessons, Omission
from fittings.models.letters import OwnerLetter
from fittings.models.post import (
    FeedKey,
    Message,
    MessageEvent,
    MessageKind,
    PostRules,
    Wording,
)
from fittings.models.privacy import Erasure, Redacted, RetentionRule, Seen
from fittings.models.promise import AgreedOvertime, Maker, StageTime
from fittings.models.session import (
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
    PhotographDeletion,
    PhotographPin,
    Remark,
    SpotAnswer,
)
from fittings.models.travelling import Trip, TripCalledOff
from fittings.models.tries import Try
from fittings.models.waiting import CallBack, Waiting

__all__ = [
    "Absence",
    "AgreedOvertime",
    "AlterationCount",
    "Booking",
    "BookingChange",
    "Brought",
    "CallBack",
    "CatalogueEntry",
    "CauseTaken",
    "Closure",
    "CountMark",
    "Decision",
    "Erasure",
    "FaultCount",
    "FeedKey",
    "Fitting",
    "GarmentCount",
    "HolidayRule",
    "Import",
    "Judgement",
    "Lessons",
    "Maker",
    "Message",
    "MessageEvent",
    "MessageKind",
    "MonthMark",
    "Observation",
    "Omission",
    "OpeningHours",
    "OwnerLetter",
    "PaperCode",
    "PersonChange",
    "Photograph",
    "PhotographDeletion",
    "PhotographPin",
    "Pin",
    "PostRules",
    "Recount",
    "Redacted",
    "Remark",
    "RetentionRule",
    "Room",
    "SecondFactor",
    "Seen",
    "SeenCount",
    "SharedTablet",
    "SignInRules",
    "SpotAnswer",
    "StageCount",
    "StageTime",
    "Trip",
    "TripCalledOff",
    "Try",
    "Upload",
    "UploadRow",
    "Waiting",
    "Wording",
]
