"""The exact posterior, against other ways to it.

Outside checks: every set of causes written out (1e-12); pyAgrum's exact inference on 200 invented
networks; a three-cause example whose figures pyAgrum, ProbLog and Heckerman's QuickScore (1989)
gave before this program was begun; and the printed noisy-OR table of Russell and Norvig's
Artificial Intelligence (fever from cold, flu and malaria).
"""

from itertools import permutations
from math import exp
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.diagnosis import posterior, weigh
from tests.fittings.diagnosis.networks import enumerated, library_posterior, network_of

EXAMPLE = {
    "priors": {"cold": 0.2, "flu": 0.05, "malaria": 0.01},
    "links": {
        ("cold", "fever"): 0.4,
        ("flu", "fever"): 0.8,
        ("malaria", "fever"): 0.9,
        ("cold", "ache"): 0.1,
        ("flu", "ache"): 0.7,
        ("malaria", "ache"): 0.6,
        ("cold", "cough"): 0.7,
        ("flu", "cough"): 0.5,
    },
    "leaks": {"fever": 0.01, "ache": 0.05, "cough": 0.03},
}


def split(network, seed, most=14):
    """Some faults present, some absent, some not looked at."""
    chance = Random(seed)
    faults = list(network["leaks"])
    chance.shuffle(faults)
    seen = chance.randint(0, min(most, len(faults)))
    return faults[:seen], faults[seen : chance.randint(seen, len(faults))]


def close(found, expected, within=1e-12):
    return found.keys() == expected.keys() and all(
        abs(found[cause] - expected[cause]) < within for cause in expected
    )


def test_example_gives_all_its_digits():
    found = weigh(EXAMPLE, ["fever", "ache"], ["cough"])

    assert round(exp(found.log_evidence), 15) == 0.020186053833030
    rounded = {cause: round(p, 7) for cause, p in found.causes.items()}
    assert rounded == {"cold": 0.2239772, "flu": 0.6013271, "malaria": 0.2299472}


@pytest.mark.parametrize(
    ("there", "spared"),
    [
        ("", 1),
        ("m", 0.1),
        ("f", 0.2),
        ("fm", 0.02),
        ("c", 0.6),
        ("cm", 0.06),
        ("cf", 0.12),
        ("cfm", 0.012),
    ],
)
def test_printed_fever_table_is_met(there, spared):
    # Each cause all but certain or all but excluded, so that the evidence is the row of the table.
    priors = {cause: 1 - 1e-13 if cause in there else 1e-13 for cause in "cfm"}
    links = {("c", "fever"): 0.4, ("f", "fever"): 0.8, ("m", "fever"): 0.9}

    found = weigh({"priors": priors, "links": links, "leaks": {"fever": 0}}, [], ["fever"])

    assert exp(found.log_evidence) == pytest.approx(spared, abs=1e-11)


@pytest.mark.parametrize("weak", [True, False])
@pytest.mark.parametrize("seed", range(20))
def test_posterior_agrees_with_every_set(seed, weak):
    network = network_of(seed, causes=3 + seed % 9, faults=1 + seed % 16, weak=weak)
    present, absent = split(network, seed)

    assert close(posterior(network, present, absent), enumerated(network, present, absent))


@pytest.mark.parametrize("weak", [True, False])
def test_fourteen_present_faults_agree(weak):
    network = network_of(7, causes=13, faults=18, weak=weak, density=0.7)
    present, absent = list(network["leaks"])[:14], list(network["leaks"])[14:17]

    assert close(posterior(network, present, absent), enumerated(network, present, absent))


def test_posterior_agrees_with_library():
    for seed in range(200):
        network = network_of(seed, causes=2 + seed % 9, faults=1 + seed % 11, weak=seed % 2 == 0)
        present, absent = split(network, seed, most=8)
        theirs = library_posterior(network, present, absent)
        assert close(posterior(network, present, absent), theirs, within=1e-10), seed


def test_nothing_seen_leaves_the_priors():
    assert close(posterior(EXAMPLE, [], []), EXAMPLE["priors"], within=1e-15)


def test_cause_of_nothing_keeps_its_prior():
    network = {**EXAMPLE, "priors": {**EXAMPLE["priors"], "idle": 0.07}}
    assert posterior(network, ["fever"], ["cough"])["idle"] == pytest.approx(0.07, abs=1e-15)


def test_fault_of_no_cause_changes_nothing():
    network = {**EXAMPLE, "leaks": {**EXAMPLE["leaks"], "itch": 0.2}}

    with_it, without = (weigh(network, present, []) for present in (["fever", "itch"], ["fever"]))

    assert with_it.causes == without.causes
    assert with_it.log_evidence == pytest.approx(without.log_evidence - 1.6094379124341003)


def test_order_of_faults_changes_no_digit():
    found = [posterior(EXAMPLE, order, ["cough"]) for order in permutations(["fever", "ache"])]
    assert found[0] == found[1]


def test_unconnected_parts_equal_the_whole():
    one, other = network_of(1, causes=4, faults=5), network_of(2, causes=4, faults=5)
    joined = {(f"other {c}", f"other {f}"): q for (c, f), q in other["links"].items()}
    renamed = {
        "priors": {f"other {cause}": p for cause, p in other["priors"].items()},
        "links": joined,
        "leaks": {f"other {fault}": p for fault, p in other["leaks"].items()},
    }
    whole = {name: {**one[name], **renamed[name]} for name in one}
    faults = [*list(one["leaks"])[:4], *list(renamed["leaks"])[:4]]

    found = posterior(whole, faults, [])

    apart = posterior(one, faults[:4], []) | posterior(renamed, faults[4:], [])
    assert close(found, apart)


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000))
def test_absent_fault_never_raises_its_cause(seed):
    network = network_of(seed, causes=5, faults=5)
    fault = list(network["leaks"])[seed % 5]
    before, after = posterior(network, [], []), posterior(network, [], [fault])
    assert all(after[cause] <= before[cause] + 1e-15 for cause in before)


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000))
def test_present_fault_never_lowers_only_cause(seed):
    network = network_of(seed, causes=5, faults=5)
    network["links"]["cause 0", "own"], network["leaks"]["own"] = 0.3, 0.01
    present, absent = split(network | {"leaks": dict(list(network["leaks"].items())[:5])}, seed)

    before, after = (posterior(network, faults, absent) for faults in (present, [*present, "own"]))

    assert after["cause 0"] >= before["cause 0"] - 1e-15


def test_forty_faults_at_once_are_weighed():
    network = network_of(3, causes=40, faults=45, density=0.04)
    faults = list(network["leaks"])
    found = posterior(network, faults[:40], faults[40:])
    assert all(0 < p < 1 for p in found.values())
