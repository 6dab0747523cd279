"""The technical error of measurement, worked by hand and against SciPy."""

import datetime
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from customers.change import KINDS
from customers.lengths import Length
from customers.repeat import Pair, by_group, technical_error, wanders

MILLIMETRES = st.lists(st.integers(-40, 40), min_size=5, max_size=40)


def of_mm(values):
    return [Length.of_mm(value) for value in values]


def pair(first, second, *, point="waist", measurer=1, year=2025):
    on = datetime.date(year, 5, 1)
    return Pair(point, measurer, on, Length.of_mm(first), Length.of_mm(second))


def test_error_of_five_pairs_is_worked_by_hand():
    # AD 34: sqrt(sum d^2 / 2N). 4 + 1 + 9 + 0 + 16 = 30; 30 / 10 = 3; the root of 3 is 1.732051 mm.
    found = technical_error(of_mm([2, -1, 3, 0, -4]))

    assert (found.pairs, found.too_few) == (5, False)
    assert float(found.error.mm) == pytest.approx(1.732051, abs=1e-6)


@pytest.mark.parametrize("count", range(5))
def test_fewer_than_five_pairs_are_too_few(count):
    found = technical_error(of_mm([3] * count))

    told = {0: "none"}.get(count, f"{count}: too few to tell")
    assert (found.too_few, found.error, found.text("in"), found.range_text("in")) == (
        True,
        None,
        told,
        "",
    )


@pytest.mark.parametrize("pairs", [5, 8, 12, 30, 100])
def test_interval_agrees_with_chi_squared_of_scipy(pairs):
    differences = np.random.default_rng(pairs).normal(0, 5, pairs).round(1)
    squares = float((differences**2).sum())

    found = technical_error(of_mm(differences))

    exact = [sqrt(squares / 2 / stats.chi2.ppf(share, pairs)) for share in (0.975, 0.025)]
    # Wilson and Hilferty's approximation: within 2.5 in a hundred
    assert [float(found.low.mm), float(found.high.mm)] == pytest.approx(exact, rel=0.025)


def test_interval_holds_the_true_error_nearly_always():
    rng = np.random.default_rng(34)
    taken = rng.normal(0, 3, (4000, 8, 2))
    found = [technical_error([Length(round(d * 1e6)) for d in row]) for row in taken @ (1, -1)]

    held = [float(one.low.mm) <= 3 <= float(one.high.mm) for one in found]
    assert sum(held) / len(held) == pytest.approx(0.95, abs=0.015)


@given(MILLIMETRES)
def test_error_minds_no_sign_and_no_order(values):
    turned = [-value for value in reversed(values)]

    assert technical_error(of_mm(values)) == technical_error(of_mm(turned))


@given(MILLIMETRES)
def test_interval_stands_about_the_error(values):
    found = technical_error(of_mm(values))

    assert found.low <= found.error <= found.high


def test_pairs_are_told_apart_by_hand_and_year():
    pairs = [pair(800, 803) for _ in range(5)] + [pair(800, 809, measurer=2, year=2026)]

    found = by_group(pairs, lambda one: (one.measurer, one.taken_on.year))

    assert {key: repeat.text("cm") for key, repeat in found.items()} == {
        (1, 2025): "0.2 cm (5 pairs)",
        (2, 2026): "1: too few to tell",
    }


@pytest.mark.parametrize(
    ("point", "apart", "count", "said"),
    [
        ("waist", 4, 12, False),
        ("waist", 12, 12, True),
        ("waist", 12, 4, None),
        ("wrist", 4, 12, True),
        ("knee", 30, 12, None),
    ],
)
def test_tape_wanders_beyond_the_published_error(point, apart, count, said):
    # 12 mm apart is an error of 8.5 mm, 4 mm one of 2.8; published are 3.4 and 1.7 mm of a reading
    assert wanders(point, technical_error(of_mm([apart] * count))) is said


def test_hand_with_the_published_error_seldom_wanders():
    rng, kind = np.random.default_rng(8), KINDS["large girth"]
    taken = np.round(rng.normal(0, kind.error, (3000, 10, 2)) + 900)
    said = [wanders("waist", technical_error(of_mm(row))) for row in (taken @ (1, -1)).tolist()]

    assert sum(said) / len(said) <= 0.05
