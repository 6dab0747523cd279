"""A plan of 8 points and 25 operations: at most 100 ms of one core (design)."""

import sys
from statistics import median
from time import process_time

from garments import seams
from garments.planning import choices, plan
from tests.garments.planning.making import STEP, measure

BUDGET = 0.1  # seconds
TURNS = 15
MEASURES = [
    measure("chest", "40", "41"),
    measure("waist", "36", "38"),
    measure("seat", "42", "41"),
    measure("back-width", "17", "17 1/2"),
    measure("back-length", "30", "29"),
    measure("front-balance", "12", "12 1/2"),
    measure("sleeve/L", "25", "25 1/2"),
    measure("sleeve/R", "25 1/4", "25 1/2"),
]


def test_plan_of_eight_points_stays_in_budget():
    offered = [row for row in choices("coat") if row.proposed and row.moved("both")][:25]
    inlays = seams.normal_inlays("coat")
    for name, to_target in (("within tolerance", False), ("to the target", True)):
        times = []
        for _ in range(TURNS):
            start = process_time()
            plan(MEASURES, inlays, offered, STEP, to_target=to_target)
            times.append(process_time() - start)
        sys.stdout.write(
            f"\na plan, {len(offered)} operations, {name}: {median(times) * 1e3:.1f} ms"
        )
        assert median(times) <= BUDGET
