"""What to look at next: the expected information, against every set of causes written out."""

from math import log2

import pytest

from fittings.diagnosis import DiagnosisError, Look, tell_apart
from tests.fittings.diagnosis.networks import enumerated, network_of
from tests.fittings.diagnosis.test_posterior import EXAMPLE


def entropy(p):
    return -sum(each * log2(each) for each in (p, 1 - p) if each)


def by_hand(network, present, absent, fault, cause):
    """I(cause; fault), read off the sets written out with the fault there and not there."""
    now = enumerated(network, present, absent)[cause]
    yes = enumerated(network, [*present, fault], absent)[cause]
    no = enumerated(network, present, [*absent, fault])[cause]
    p_yes = (now - no) / (yes - no)
    return entropy(now) - p_yes * entropy(yes) - (1 - p_yes) * entropy(no)


@pytest.mark.parametrize("seed", range(6))
def test_information_of_a_fault_is_exact(seed):
    network = network_of(seed, causes=5, faults=6, density=1)
    first, second, *rest = network["leaks"]
    looks = [Look(fault, shows=[fault]) for fault in rest]

    for told in tell_apart(network, [first], [second], looks, among=["cause 0"]):
        expected = by_hand(network, [first], [second], told.look.key, "cause 0")
        assert told.bits == pytest.approx(expected, abs=1e-9)


def test_looks_come_most_telling_first():
    network = network_of(3, causes=6, faults=8)
    told = tell_apart(network, ["fault 0"], [], [Look(f, shows=[f]) for f in network["leaks"]])
    assert [each.bits for each in told] == sorted((each.bits for each in told), reverse=True)
    assert len(told) == 7  # the one already seen is no look


def test_test_that_splits_two_causes_comes_first():
    network = {
        "priors": {"a": 0.3, "b": 0.3},
        "links": {("a", "f"): 0.8, ("b", "f"): 0.8},
        "leaks": {"f": 0.01},
    }
    looks = [
        Look("both alike", yes={"a": 0.7, "b": 0.7}),
        Look("a only", yes={"a": 0.95}),
        Look("says nothing", yes={"a": 0.001}, otherwise=0.5),
    ]

    told = tell_apart(network, ["f"], [], looks)

    assert [each.look.key for each in told] == ["a only", "both alike", "says nothing"]
    assert told[-1].bits == pytest.approx(0, abs=1e-5)


def test_zone_is_a_look_at_all_its_faults():
    one = tell_apart(EXAMPLE, ["fever"], [], [Look("zone", shows=["ache", "cough", "fever"])])
    no = enumerated(EXAMPLE, ["fever"], ["ache", "cough"])
    now = enumerated(EXAMPLE, ["fever"], [])
    yes = {cause: (now[cause] - no[cause] * (1 - one[0].yes)) / one[0].yes for cause in now}
    expected = sum(
        entropy(now[c]) - one[0].yes * entropy(yes[c]) - (1 - one[0].yes) * entropy(no[c])
        for c in now
    )
    assert one[0].bits == pytest.approx(expected)


def test_nothing_to_look_at_tells_nothing():
    assert tell_apart(EXAMPLE, ["fever"], [], []) == ()


def test_test_of_an_unknown_cause_is_refused():
    with pytest.raises(DiagnosisError, match="names a cause that has no prior"):
        tell_apart(EXAMPLE, ["fever"], [], [Look("test", yes={"measles": 0.5})])
