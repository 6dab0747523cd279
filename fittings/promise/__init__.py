"""What can be promised, by which day, and which promise is at risk. Pure but for the holidays.

``schedule`` plans every garment in work, ``ask`` a new one beside them, ``risk`` says how sure a
plan is and why, ``Case`` and ``compare`` try what would help.
"""

from fittings.promise.asking import Answer, ask
from fittings.promise.benches import Away, Overtime, Workroom
from fittings.promise.calendar import HouseCalendar, Period, days_of
from fittings.promise.errors import PromiseError
from fittings.promise.risk import Risk, Step, risk
from fittings.promise.scheduling import GarmentPlan, Order, PlannedStage, schedule
from fittings.promise.stages import CRAFTS, STAGES, Stage
from fittings.promise.whatif import Case, Difference, compare

__all__ = [
    "CRAFTS",
    "STAGES",
    "Answer",
    "Away",
    "Case",
    "Difference",
    "GarmentPlan",
    "HouseCalendar",
    "Order",
    "Overtime",
    "Period",
    "PlannedStage",
    "PromiseError",
    "Risk",
    "Stage",
    "Step",
    "Workroom",
    "ask",
    "compare",
    "days_of",
    "risk",
    "schedule",
]
