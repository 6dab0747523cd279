"""The plan is the best there is: every combination of small problems tried; and what must hold."""

import random
from dataclasses import replace

import pytest

from customers.lengths import Length
from garments.planning import choices, plan
from tests.garments.planning.making import STEP, measure, planned, problem
from tests.garments.planning.trying_all import best, scored

SEEDS = range(300)


@pytest.mark.parametrize("tens", range(0, 300, 30))
def test_plan_equals_the_best_of_all(tens):
    for seed in SEEDS[tens : tens + 30]:
        measures, inlays, chosen = problem(seed)

        found = plan(measures, inlays, chosen, STEP)

        assert (seed, *scored(found, measures)) == (seed, *best(measures, inlays, chosen))


def test_random_problems_are_of_every_sort():
    """Some can be brought right, some cannot, some ask for each side by itself."""
    plans = [plan(*problem(seed), STEP) for seed in SEEDS[:60]]

    assert {bool(row.left_over) for row in plans} == {True, False}
    assert {line.side for row in plans for line in row.lines} == {"L", "R", "both", ""}


@pytest.mark.parametrize("seed", range(20))
def test_plan_keeps_whole_steps_and_inlays(seed):
    rng = random.Random(seed)
    kind = rng.choice(["coat", "waistcoat", "trousers", "overcoat"])
    measures = _any_measures(rng, kind)
    left = {place: Length(STEP.nm * rng.randint(0, 12)) for place in _held(kind)}

    found = planned(kind, measures, left)

    assert [line for line in found.lines if line.amount.nm % STEP.nm] == []
    assert [place for place, after in found.inlay_after.items() if after < Length(0)] == []
    assert _below_keep(found, kind) == []


@pytest.mark.parametrize("seed", range(20, 30))
def test_more_inlay_never_makes_it_worse(seed):
    measures, inlays, chosen = problem(seed)
    more = {place: left + STEP for place, left in inlays.items()}

    scarce, ample = (scored(plan(measures, i, chosen, STEP), measures) for i in (inlays, more))

    assert ample <= scarce


def test_left_and_right_are_alike_where_the_figure_is():
    even = planned("coat", [measure("sleeve/L", "25", "26"), measure("sleeve/R", "25", "26")])
    uneven = planned("coat", [measure("sleeve/L", "25", "26"), measure("sleeve/R", "26", "26")])

    assert [line.side for line in even.lines] == ["both"]
    assert [line.side for line in uneven.lines] == ["L"]


def test_plan_is_the_same_in_millimetres():
    rows = [measure("waist", "90 cm", "92.4 cm", "0.3 cm")]
    step = Length.of_mm(3)

    found = plan(rows, {("side-seam", s): step * 9 for s in "LR"}, choices("coat"), step)

    assert [(line.side, line.amount) for line in found.lines] == [("both", step * 2)]


def test_heavier_measure_is_brought_right_first():
    rows = [measure("chest", "40", "41", "0"), measure("waist", "37", "36", "0")]
    only = [row for row in choices("coat") if (row.operation, row.seam) == ("let-out", "side-seam")]
    inlays = {("side-seam", side): STEP * 8 for side in "LR"}

    plans = [plan([replace(rows[0], weight=w), rows[1]], inlays, only, STEP) for w in (1, 2)]

    assert [len(row.lines) for row in plans] == [0, 1]


def _held(kind):
    return [(row.seam, side) for row in choices(kind) for side in row.sides]


def _below_keep(found, kind):
    keep = {row.seam: row.keep for row in choices(kind) if row.inlay == "uses"}
    return [
        line
        for line in found.lines
        if line.inlay_after is not None
        and line.inlay_after < line.inlay_before
        and line.inlay_after < keep[line.seam]
    ]


def _any_measures(rng, kind):
    places = sorted({place for row in choices(kind) for place in row.moved("both")})
    return [
        measure("/".join(place), str(30 + rng.randint(-8, 8) / 4), "30", rng.choice(["1/8", "1/4"]))
        for place in rng.sample(places, min(5, len(places)))
    ]
