"""What the shipped catalogue makes of worked cases of the literature, and of each fault alone.

The cases stand in `tests/fittings/cases/`: what an author saw, and the cause he names, each with
its citation. `tuning.toml` may tune whole steps, `held.toml` tunes nothing; how they were dealt
out is told at their heads. The catalogue's links come from much the same books, so half of this is
agreement of the ledger with its own sources; the cases with keys N come from pages it does not
cite. An author's cause is first when one he names is, and in the first three when all he names are.
"""

import tomllib
from pathlib import Path

import pytest

from fittings import catalogue
from fittings.diagnosis import Sign, evidence_of, network_for, posterior

BOOK = catalogue.load()
FOLDER = Path(__file__).parents[1] / "cases"
FILES = ("tuning", "held")
NETWORKS = {kind: network_for(BOOK, kind) for kind in ("coat", "waistcoat", "trousers")}


def file_of(name):
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def cases(name):
    return file_of(name)["case"]


def sign(text):
    key, _, side = text.partition(" ")
    return Sign(catalogue.fault(key).zone, key, side)


def ranking(case):
    seen = [sign(text) for text in case["signs"]]
    seen += [Sign(zone) for zone in case.get("clean_zones", ())]
    evidence = evidence_of(BOOK, case["kind"], seen)
    absent = (evidence.absent | set(case.get("clean", ()))) - evidence.present
    found = posterior(NETWORKS[case["kind"]], evidence.present, absent)
    return sorted(found, key=lambda cause: -found[cause])


def missed(rows, *, places):
    """The cases whose author is not borne out in the first `places`, with what stands there."""
    need = any if places == 1 else all
    return {
        case["key"]: ranked[:3]
        for case, ranked in ((case, ranking(case)) for case in rows)
        if not need(cause in ranked[:places] for cause in case["cause"])
    }


def share(rows, *, places):
    """How many of the cases the author's cause is in the first `places` of, and which missed."""
    wrong = missed(rows, places=places)
    return 1 - len(wrong) / len(rows), wrong


# The files


def test_files_hold_forty_cases_and_share_none():
    tuning, held = ({case["key"] for case in cases(name)} for name in FILES)

    assert min(len(tuning), len(held)) >= 40
    assert tuning & held == set()


@pytest.mark.parametrize("name", FILES)
def test_cases_use_the_keys_and_sources_known(name):
    known = BOOK.sources.keys() | file_of(name).get("source", {}).keys()
    for case in cases(name):
        books = {part.strip().replace(":", " ").split()[0] for part in case["source"].split(";")}
        sides = [
            (bool(each.side), catalogue.fault(each.fault).sided)
            for each in map(sign, case["signs"])
        ]
        kinds = {catalogue.fault(key).kind for key in case.get("clean", ())}

        assert books <= known
        assert [sided for sided, can in sides if sided != can] == []
        assert kinds <= {case["kind"]}


# The author's cause


@pytest.mark.parametrize("name", FILES)
def test_author_cause_comes_first_in_seven_of_ten(name):
    rate, wrong = share(cases(name), places=1)

    assert rate >= 0.7, wrong


@pytest.mark.parametrize("name", FILES)
def test_author_causes_come_in_first_three_of_nine_in_ten(name):
    rate, wrong = share(cases(name), places=3)

    assert rate >= 0.9, wrong


# Each fault alone


def as_its_source_has_it(fault):
    """On the side of its first cause where that has one; else on both, where it has sides."""
    first = catalogue.causes_of(fault.key)[0]
    return first.side or ("both" if fault.sided else "")


def test_each_fault_alone_has_the_sources_first_cause_first():
    wrong = {}
    for fault in BOOK.faults:
        side = as_its_source_has_it(fault)
        first = catalogue.causes_of(fault.key, "" if side == "both" else side)[0].cause
        ranked = ranking({"kind": fault.kind, "signs": [f"{fault.key} {side}".strip()]})
        if ranked[0] != first:
            wrong[f"{fault.key} {side}"] = (first, ranked[:3])

    assert wrong == {}
    assert len(BOOK.faults) >= 123


@pytest.mark.parametrize("side", ["L", "R"])
def test_low_shoulder_is_first_on_the_side_it_is_seen(side):
    cause = f"low-shoulder-{side}"
    own = [link.fault for link in BOOK.links if link.cause == cause]
    first = [key for key in own if catalogue.causes_of(key, side)[0].cause == cause]

    wrong = [
        key
        for key in first
        if ranking({"kind": catalogue.fault(key).kind, "signs": [f"{key} {side}"]})[0] != cause
    ]
    assert wrong == []
    assert len(first) >= 7
