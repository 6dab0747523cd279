"""Reasons, words, and what is left to something else.

Outside check: leave-one-out log-odds and the leak's part are worked out again by writing out every
set of causes, the leak as one more cause that always shows.
"""

from math import log

import pytest

from fittings import catalogue
from fittings.diagnosis import (
    Sign,
    amount_words,
    band,
    evidence_of,
    explain,
    network_for,
    odds_words,
)
from tests.fittings.diagnosis.networks import enumerated, network_of
from tests.fittings.diagnosis.test_posterior import EXAMPLE

BOOK = catalogue.load()


def log_odds(p):
    return log(p) - log(1 - p)


def coat(*signs):
    return explain(network_for(BOOK, "coat"), evidence=evidence_of(BOOK, "coat", signs))


def test_causes_are_ranked_by_probability():
    found = explain(EXAMPLE, ["fever", "ache"], ["cough"])
    assert [(row.rank, row.cause) for row in found.causes] == [
        (1, "flu"),
        (2, "malaria"),
        (3, "cold"),
    ]


@pytest.mark.parametrize("left_out", ["fever", "ache", "cough"])
def test_reason_is_the_odds_without_it(left_out):
    rest = [fault for fault in ("fever", "ache") if fault != left_out]
    absent = [] if left_out == "cough" else ["cough"]
    whole = enumerated(EXAMPLE, ["fever", "ache"], ["cough"])
    without = enumerated(EXAMPLE, rest, absent)

    for row in explain(EXAMPLE, ["fever", "ache"], ["cough"]).causes:
        said = {reason.piece: reason.log_odds for reason in row.reasons}[left_out]
        expected = log_odds(whole[row.cause]) - log_odds(without[row.cause])
        assert said == pytest.approx(expected, abs=1e-12)


def test_strongest_reason_comes_first():
    sizes = [
        abs(reason.log_odds)
        for reason in explain(EXAMPLE, ["fever", "ache"], ["cough"]).causes[0].reasons
    ]
    assert sizes == sorted(sizes, reverse=True)


def test_reasons_are_worked_out_for_the_first_only():
    found = explain(EXAMPLE, ["fever"], most=1)
    assert [len(row.reasons) for row in found.causes] == [1, 0, 0]


@pytest.mark.parametrize("seed", range(5))
def test_part_of_something_else_is_exact(seed):
    network = network_of(seed, causes=6, faults=6)
    present, absent = list(network["leaks"])[:4], list(network["leaks"])[4:]
    first = present[0]
    # The leak as a cause: it shows as its fault for sure, as near as a float can say.
    leaky = {
        "priors": {**network["priors"], "leak": network["leaks"][first]},
        "links": {**network["links"], ("leak", first): 1 - 1e-15},
        "leaks": {**network["leaks"], first: 0.0},
    }

    found = explain(network, present, absent).other[first]

    assert found == pytest.approx(enumerated(leaky, present, absent)["leak"], abs=1e-12)


def test_none_of_these_is_the_chance_of_no_cause():
    # With one cause there is none exactly when that cause is not there.
    network = {"priors": {"c": 0.1}, "links": {("c", "f"): 0.6}, "leaks": {"f": 0.02, "g": 0.3}}
    found = explain(network, ["f"], ["g"])
    assert found.none == pytest.approx(1 - found.causes[0].probability, abs=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_none_of_these_leaves_idle_causes_aside(seed):
    network = network_of(seed, causes=4, faults=4, density=1)
    idle = {**network, "priors": {**network["priors"], "idle": 0.4}}
    idle["links"] = {**network["links"], ("idle", "fault 3"): 0.7}
    present, absent = ["fault 0", "fault 1"], ["fault 2", "fault 3"]
    found = explain(idle, present, absent).none

    sure = {**idle, "priors": {**idle["priors"], "idle": 1e-12}}
    assert found == pytest.approx(explain(sure, present, absent).none, rel=1e-9)
    assert found == pytest.approx(explain(network, present, absent).none, rel=1e-9)


def test_nothing_else_where_no_leak_is():
    network = {"priors": {"c": 0.1}, "links": {("c", "f"): 0.6}, "leaks": {"f": 0}}
    found = explain(network, ["f"])
    assert (found.none, found.other, found.causes[0].band) == (0, {}, "very likely")


def test_sign_on_both_sides_is_one_reason():
    row = coat(Sign("vents", "vent-kicks", "both")).causes[0]
    assert [(reason.piece, reason.words) for reason in row.telling] == [
        ("vent-kicks:both", "speaks strongly for")
    ]


def test_clean_zone_speaks_against_what_would_show_there():
    found = coat(Sign("collar", "collar-stands-off"), Sign("vents"), Sign("back"))
    short = next(row for row in found.causes if row.cause == "back-balance-short")
    said = {reason.piece: reason.words for reason in short.telling}
    assert said["collar-stands-off"].endswith("for")
    assert said["zone vents"].endswith("against")


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (1.4, ""),
        (1.6, "hints for"),
        (1 / 1.6, "hints against"),
        (3.2, "speaks for"),
        (0.3, "speaks against"),
        (11, "speaks strongly for"),
        (0.01, "speaks strongly against"),
    ],
)
def test_amounts_are_told_in_rounded_steps(factor, words):
    assert amount_words(log(factor)) == words


@pytest.mark.parametrize(
    ("factor", "words"),
    [(4.17, "odds × 4.2"), (1 / 31, "odds ÷ 31"), (1 / 1.5, "odds ÷ 1.5"), (1e9, "odds × 1000")],
)
def test_factor_of_the_odds_has_two_figures(factor, words):
    assert odds_words(log(factor)) == words


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (1.0, "very likely"),
        (0.9, "very likely"),
        (0.89, "likely"),
        (0.5, "about even"),
        (0.2, "not likely"),
        (0.0, "very unlikely"),
    ],
)
def test_probability_is_told_in_bands(probability, words):
    assert band(probability) == words
