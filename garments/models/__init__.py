from garments.models.aiming import FinishedMeasure, GarmentWish
from garments.models.alteration import (
    Alteration,
    Answer,
    Side,
    Ticket,
    TicketLine,
    TicketRevision,
)
from garments.models.bench import WEEKDAYS, BenchHours
from garments.models.carrying import CarryAnswer
from garments.models.garment import (
    IN_WORK,
    Cloth,
    Cut,
    CutVersion,
    Garment,
    GarmentQuerySet,
    InlayMovement,
    Kind,
    Remake,
    Stage,
    StageEntry,
)
from garments.models.shears import PassedLine

__all__ = [
    "IN_WORK",
    "WEEKDAYS",
    "Alteration",
    "Answer",
    "BenchHours",
    "CarryAnswer",
    "Cloth",
    "Cut",
    "CutVersion",
    "FinishedMeasure",
    "Garment",
    "GarmentQuerySet",
    "GarmentWish",
    "InlayMovement",
    "Kind",
    "PassedLine",
    "Remake",
    "Side",
    "Stage",
    "StageEntry",
    "Ticket",
    "TicketLine",
    "TicketRevision",
]
