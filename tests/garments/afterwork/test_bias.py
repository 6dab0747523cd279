"""Bias, spread and interval: by hand, against statsmodels and NumPy, and by their coverage."""

import datetime

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.weightstats import DescrStatsW

from customers.lengths import Length, parse
from garments.afterwork.bias import FEWEST, Lean, Verdict, lean_of, leans_by_operation, leans_of
from garments.afterwork.cases import Case, Work

AT = datetime.datetime(2026, 2, 2, 10, tzinfo=datetime.UTC)
WORK = Work("coat", "let-out", "side-seam")
INCH = 25_400_000


def case(off, work=WORK):
    return Case(work, frozenset({"one"}), parse("1/4"), off, (("waist", ""),), AT)


def of_mm(*values):
    return [case(Length.of_mm(value)) for value in values]


def test_lean_of_five_is_worked_by_hand():
    # -1 -2 -3 -2 -2 mm: mean -2; squares 1 0 1 0 0, sum 2, over 4 is 0.5, its root 0.70711.
    # t of 4 at 97.5 % is 2.77645 (Student's table): 2.77645 x 0.70711 / 2.23607 = 0.87800.
    found = lean_of(of_mm(-1, -2, -3, -2, -2))

    assert (found.count, found.bias, found.verdict) == (5, Length.of_mm(-2), Verdict.SHORT)
    told = [float(each.mm) for each in (found.spread, found.low, found.high)]
    assert told == pytest.approx([0.707107, -2.877989, -1.122011], abs=1e-5)


@pytest.mark.parametrize("count", range(FEWEST))
def test_fewer_than_five_are_too_few_to_tell(count):
    found = lean_of(of_mm(*[-3] * count))

    assert (found.count, found.verdict) == (count, Verdict.TOO_FEW)


def test_one_case_has_no_spread():
    assert lean_of(of_mm(4)) == Lean(1, Length.of_mm(4))


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ((2, 1, 2, 3, 2), Verdict.OVER),
        ((-2, -1, -2, -3, -2), Verdict.SHORT),
        ((-2, 2, -1, 1, 0), Verdict.NO_LEAN),
        ((0, 0, 0, 0, 0), Verdict.NO_LEAN),
        ((-1, -1, -1, -1, -1), Verdict.SHORT),
    ],
)
def test_lean_is_told_when_the_interval_has_one_sign(values, verdict):
    assert lean_of(of_mm(*values)).verdict is verdict


def test_mistaken_cases_are_left_out_and_counted():
    mistake = case(Length.inches(2))

    found = lean_of([*of_mm(-1, -2, -3, -2, -2), mistake])

    assert (found.count, found.left_out, found.bias) == (5, 1, Length.of_mm(-2))


def test_only_mistakes_tell_nothing():
    assert lean_of([case(Length.inches(2))]) == Lean(0, Length(0), left_out=1)


@pytest.mark.parametrize("seed", range(8))
def test_lean_equals_statsmodels_and_numpy(seed):
    rng = np.random.default_rng(seed)
    nm = rng.normal(-0.05, 0.05, int(rng.integers(2, 60))) * INCH
    values = np.clip(nm, -0.7 * INCH, 0.7 * INCH).round().astype(int)

    found = lean_of([case(Length(int(value))) for value in values])

    low, high = DescrStatsW(values.astype(float)).tconfint_mean(alpha=0.05)
    ours = [each.nm for each in (found.bias, found.spread, found.low, found.high)]
    assert ours == pytest.approx([values.mean(), values.std(ddof=1), low, high], abs=1)


def test_interval_holds_the_truth_as_often_as_it_says():
    # 1000 houses of 8 cases each, true lean 1/16 in short, spread 1/16: exact for a normal spread.
    rng = np.random.default_rng(11)
    offs = rng.normal(-1 / 16, 1 / 16, (1000, 8)) * INCH
    held = 0
    for row in offs:
        found = lean_of([case(Length(round(value))) for value in row])
        held += found.low.nm <= -INCH / 16 <= found.high.nm

    low, high = stats.binom.interval(0.999, 1000, 0.95)
    assert low <= held <= high


def test_leans_are_kept_apart_by_work():
    hem = Work("trousers", "raise-hem", "bottom")

    found = leans_of([*of_mm(-2, -2), case(Length.of_mm(3), hem)])

    assert {work: (lean.count, lean.bias) for work, lean in found.items()} == {
        WORK: (2, Length.of_mm(-2)),
        hem: (1, Length.of_mm(3)),
    }


def test_operation_is_learnt_over_all_its_seams():
    back = Work("coat", "let-out", "centre-back")

    found = leans_by_operation([*of_mm(-2, -4), case(Length.of_mm(3), back)])

    assert {key: (lean.count, lean.bias) for key, lean in found.items()} == {
        "let-out": (3, Length.of_mm(-1))
    }
