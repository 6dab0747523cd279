"""Plain rows for tests, one factory per model. Composed scenes are fixtures in conftest files."""

from tests.factories.customers import (
    ConsentFactory,
    CustomerFactory,
    MeasurementFactory,
    MeasurementSetFactory,
    UserFactory,
)
from tests.factories.fittings import (
    BookingFactory,
    CauseTakenFactory,
    DecisionFactory,
    FittingFactory,
    JudgementFactory,
    ObservationFactory,
    OmissionFactory,
    RemarkFactory,
    RoomFactory,
    SpotAnswerFactory,
)
from tests.factories.garments import (
    AlterationFactory,
    CarryAnswerFactory,
    CutFactory,
    CutVersionFactory,
    GarmentFactory,
    RemakeFactory,
    StageEntryFactory,
    TicketFactory,
    TicketRevisionFactory,
)

__all__ = [
    "AlterationFactory",
    "BookingFactory",
    "CarryAnswerFactory",
    "CauseTakenFactory",
    "ConsentFactory",
    "CustomerFactory",
    "CutFactory",
    "CutVersionFactory",
    "DecisionFactory",
    "FittingFactory",
    "GarmentFactory",
    "JudgementFactory",
    "MeasurementFactory",
    "MeasurementSetFactory",
    "ObservationFactory",
    "OmissionFactory",
    "RemakeFactory",
    "RemarkFactory",
    "RoomFactory",
    "SpotAnswerFactory",
    "StageEntryFactory",
    "TicketFactory",
    "TicketRevisionFactory",
    "UserFactory",
]
