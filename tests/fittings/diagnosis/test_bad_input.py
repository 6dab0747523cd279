"""Networks and evidence that cannot be weighed: each is told in a sentence."""

import pytest

from fittings.diagnosis import DiagnosisError, Network, posterior, read_network, unsound
from tests.fittings.diagnosis.networks import network_of

NEVER = "0: a chance of never leaves nothing to find out. Leave it out."
ALWAYS = "1: a chance of always leaves nothing to find out. Leave it out."
SOUND = {"priors": {"c": 0.1}, "links": {("c", "f"): 0.5}, "leaks": {"f": 0.01, "g": 0.01}}


def said(network=SOUND, present=(), absent=()):
    with pytest.raises(DiagnosisError) as refusal:
        posterior(network, present, absent)
    return str(refusal.value)


@pytest.mark.parametrize(
    ("part", "rows", "message"),
    [
        (
            "priors",
            {"c": 0},
            f"The prior of “c” is {NEVER}",
        ),
        (
            "priors",
            {"c": 1},
            f"The prior of “c” is {ALWAYS}",
        ),
        ("priors", {"c": 1.5}, "The prior of “c” is 1.5: it lies between 0 and 1."),
        ("priors", {"c": -0.1}, "The prior of “c” is -0.1: it lies between 0 and 1."),
        ("priors", {"c": float("nan")}, "The prior of “c” is no number: nan."),
        ("priors", {"c": "often"}, "The prior of “c” is no number: 'often'."),
        ("priors", {"c": True}, "The prior of “c” is no number: True."),
        ("priors", {}, "The link from “c” to “f” names a cause that has no prior."),
        ("leaks", {"g": 0.1}, "The link from “c” to “f” names a fault that has no leak."),
        (
            "leaks",
            {"f": 1},
            f"The leak of “f” is {ALWAYS}",
        ),
        ("leaks", {"f": None}, "The leak of “f” is no number: None."),
        (
            "links",
            {("c", "f"): 0},
            f"The link from “c” to “f” is {NEVER}",
        ),
        (
            "links",
            {("c", "f"): 1},
            f"The link from “c” to “f” is {ALWAYS}",
        ),
        ("links", {"c-f": 0.5}, "A link joins a cause and a fault, not 'c-f'."),
    ],
)
def test_unsound_network_is_refused_in_words(part, rows, message):
    assert said(SOUND | {part: rows}) == message


def test_every_unsound_row_is_named():
    wrong = unsound(Network({"c": 0.5, "d": 2}, {("c", "f"): 0.5}, {"f": -1}))
    assert wrong == [
        "The prior of “d” is 2: it lies between 0 and 1.",
        "The leak of “f” is -1: it lies between 0 and 1.",
    ]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"priors": {}, "links": {}}, "The network lacks leaks: it has priors, links and leaks."),
        (
            {**SOUND, "weights": {}},
            "The network has an unknown weights: it has priors, links and leaks.",
        ),
        ({**SOUND, "priors": [0.1]}, "The priors of a network are kept by their names."),
        ([1, 2], "A network is priors, links and leaks, not a list."),
    ],
)
def test_network_of_other_shape_is_refused(data, message):
    assert said(data) == message


def test_unknown_fault_is_named():
    assert said(present=["x", "f"]) == "The network has no fault called “x”."
    assert said(absent=["y", "x"]) == "The network has no fault called “x”, “y”."


def test_fault_present_and_absent_is_refused():
    assert said(present=["f", "g"], absent=["g"]) == "Said to be both present and absent: “g”."


def test_text_for_a_list_is_refused():
    message = "The present faults are a collection of keys, not one text."
    assert said(present="f") == message


@pytest.mark.parametrize("links", [{("c", "f"): 0.5}, {}])
def test_impossible_evidence_is_refused(links):
    network = {"priors": {"c": 0.1}, "links": links, "leaks": {"f": 0.1, "g": 0}}
    assert said(network, ["f", "g"]) == (
        "Impossible by this network: nothing in it can bring “g” together with the rest."
    )


def test_too_many_faults_say_what_to_drop():
    network = network_of(5, causes=40, faults=45, density=0.5)
    present = list(network["leaks"])[:40]

    with pytest.raises(DiagnosisError, match="40 faults hang together, more than") as refusal:
        posterior(network, present, ())

    kept = [fault for fault in present if fault not in refusal.value.drop]
    assert str(refusal.value).endswith(", ".join(f"“{f}”" for f in refusal.value.drop) + ".")
    assert sum(posterior(network, kept, ()).values()) > 0


FILE = """
[priors]
c = 0.1
[links.c]
f = 0.5
[leaks]
f = 0.01
g = 0.01
"""


def test_network_file_reads_as_its_data():
    assert read_network(FILE) == Network(SOUND["priors"], SOUND["links"], SOUND["leaks"])


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("c = 0.1", "c = 0", f"The prior of “c” is {NEVER}"),
        ("c = 0.1", "c = 1", f"The prior of “c” is {ALWAYS}"),
        ("c = 0.1", "d = 0.1", "The link from “c” to “f” names a cause that has no prior."),
        ("f = 0.01", "", "The link from “c” to “f” names a fault that has no leak."),
        ("[leaks]", "[leak]", "The network has an unknown leak: it has priors, links and leaks."),
        ("[links.c]\nf = 0.5", "", "The network lacks links: it has priors, links and leaks."),
        (
            "[links.c]\nf = 0.5",
            "[links]\nc = 0.5",
            "The links of a network file are one table for each cause.",
        ),
        ("[priors]", "[priors", "The network file cannot be read: "),
    ],
)
def test_wrong_network_file_is_refused_in_words(old, new, message):
    with pytest.raises(DiagnosisError) as refusal:
        read_network(FILE.replace(old, new))
    assert str(refusal.value).startswith(message)
