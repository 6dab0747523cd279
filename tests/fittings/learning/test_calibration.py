import numpy as np
import pytest
from scipy import stats

from fittings.learning.calibration import brier, difference, reliability


def test_score_of_forecasts_worked_by_hand():
    """Four forecasts by the one-event form of Brier (1950): 0.01, 0.04, 0.25, 0.36 over 4."""
    score = brier([(0.9, True), (0.2, False), (0.5, True), (0.6, False)])

    assert score.brier == pytest.approx(0.165)
    assert score.reference == pytest.approx(0.25)
    assert score.skill == pytest.approx(0.34)


def test_perfect_and_worst_forecasts_score_nought_and_one():
    assert brier([(1, True), (0, False)]).brier == 0
    assert brier([(0, True), (1, False)]).brier == 1


def test_score_is_reliability_less_resolution_plus_uncertainty():
    """Murphy (1973), exact where all of a bin say the same."""
    rng = np.random.default_rng(11)
    said = rng.choice([0.05, 0.35, 0.75, 0.95], 400)
    pairs = [(float(p), bool(rng.random() < p**2)) for p in said]
    score, bins = brier(pairs), reliability(pairs)
    weights = [found.came.n / 400 for found in bins]
    unreliable = sum(
        w * (b.forecast - b.came.rate) ** 2 for w, b in zip(weights, bins, strict=True)
    )
    resolved = sum(
        w * (b.came.rate - score.base_rate) ** 2 for w, b in zip(weights, bins, strict=True)
    )

    assert score.brier == pytest.approx(unreliable - resolved + score.reference)


def test_bins_are_those_of_binned_statistic():
    """SciPy's ``binned_statistic`` over the same tenths, its means and counts."""
    rng = np.random.default_rng(12)
    said, came = rng.random(300), rng.random(300) < 0.4
    bins = reliability(zip(said.tolist(), came.tolist(), strict=True))
    forecast = stats.binned_statistic(said, said, "mean", bins=np.linspace(0, 1, 11)).statistic
    share = stats.binned_statistic(said, came, "mean", bins=np.linspace(0, 1, 11)).statistic

    assert [found.forecast for found in bins] == pytest.approx(list(forecast))
    assert [found.came.rate for found in bins] == pytest.approx(list(share))


def test_certainty_falls_in_the_last_tenth():
    (found,) = reliability([(1.0, True)])

    assert (found.low, found.high) == (0.9, 1.0)


def test_difference_is_that_of_a_paired_test():
    rng = np.random.default_rng(13)
    came = (rng.random(500) < 0.5).tolist()
    ours = list(zip(rng.random(500).tolist(), came, strict=True))
    theirs = list(zip(rng.random(500).tolist(), came, strict=True))

    mean, low, high = difference(ours, theirs)

    squares = [[(p - y) ** 2 for p, y in pairs] for pairs in (ours, theirs)]
    wanted = stats.ttest_rel(*squares).confidence_interval(0.95)
    assert (low, high) == pytest.approx((wanted.low, wanted.high), abs=1e-3)
    assert mean == pytest.approx(np.mean(squares[0]) - np.mean(squares[1]))


@pytest.mark.parametrize("pairs", [[], [(1.2, True)], [(-0.1, False)]])
def test_nonsense_has_no_score(pairs):
    with pytest.raises(ValueError):
        brier(pairs)
