"""The network of a garment, and what was read of it as evidence.

The directions of the figure's evidence are the sources' (named in leanings.toml); the sizes are
common practice, no source.
"""

import pytest

from customers.figure import read
from customers.lengths import Length
from customers.points import POINTS as BODY
from fittings import catalogue
from fittings.catalogue.checking import UNWRITTEN
from fittings.diagnosis import (
    Learnt,
    Sign,
    evidence_of,
    leanings,
    network_for,
    posterior,
    unsound,
)
from fittings.diagnosis.leanings import STEPS, _rows
from garments.cutting import POINTS as FINISHED

BOOK = catalogue.load()
KINDS = ("coat", "overcoat", "waistcoat", "trousers")
INCH = Length.inches(1)


def inches(**values):
    """`over_shoulder__L=17` is the left over shoulder of 17 in."""
    places = {key: (*key.replace("_", "-").split("--"), "")[:2] for key in values}
    return {places[key]: Length.inches(value) for key, value in values.items()}


def figure(**values):
    return read(inches(**{"chest": 40} | values))


# Vincent's proportionate measures at chest 40: scye 9 2/3, front shoulder 13 1/2, over 18 1/3.
STOOPING = figure(depth_of_scye=10.5, front_shoulder=12.5)
ERECT = figure(depth_of_scye=9, front_shoulder=14.5)
PLAIN = {"depth_of_scye": 9.75, "front_shoulder": 13.5}


def pieces(*signs, kind="coat", stage=""):
    found = evidence_of(BOOK, kind, signs, stage=stage)
    return {piece.key: (set(piece.present), set(piece.absent)) for piece in found.pieces}


def ranked(*signs, kind="coat", **about):
    network, evidence = network_for(BOOK, kind, **about), evidence_of(BOOK, kind, signs)
    found = posterior(network, evidence.present, evidence.absent)
    return sorted(found, key=lambda cause: -found[cause])


@pytest.mark.parametrize("kind", KINDS)
def test_shipped_catalogue_gives_a_sound_network(kind):
    assert unsound(network_for(BOOK, kind)) == []


def test_overcoat_goes_by_the_coat():
    assert network_for(BOOK, "overcoat") == network_for(BOOK, "coat")


def test_network_of_a_stage_holds_what_shows_then():
    whole, finished = network_for(BOOK, "coat"), network_for(BOOK, "coat", stage="finished")
    hidden = {row.key for row in BOOK.faults if row.kind == "coat" and "finished" not in row.stages}
    assert {name.split(":")[0] for name in whole.leaks.keys() - finished.leaks.keys()} == hidden


def test_sided_cause_shows_on_its_side_only():
    network = network_for(BOOK, "coat")
    assert ("low-shoulder-R", "lapel-bows:R") in network.links
    assert ("low-shoulder-R", "lapel-bows:L") not in network.links
    assert ("low-shoulder-R", "lapel-bows:other") not in network.links


def test_sides_of_a_sign_become_findings():
    names = {
        "L": ({"lapel-bows:L"}, {"lapel-bows:other"}),
        "R": ({"lapel-bows:R"}, {"lapel-bows:other"}),
        "both": ({"lapel-bows", "lapel-bows:other"}, set()),
    }
    for side, findings in names.items():
        assert pieces(Sign("lapel", "lapel-bows", side)) == {f"lapel-bows:{side}": findings}


def test_left_and_right_said_apart_are_both():
    apart = pieces(Sign("lapel", "lapel-bows", "R"), Sign("lapel", "lapel-bows", "L"))
    assert apart == pieces(Sign("lapel", "lapel-bows", "both"))


def test_clean_zone_says_its_faults_are_absent():
    here = {row.key for row in BOOK.faults if (row.kind, row.zone) == ("coat", "vents")}
    assert pieces(Sign("vents")) == {"zone vents": (set(), here)}


def test_clean_zone_leaves_out_what_shows_later():
    shown = {
        row.key
        for row in BOOK.faults
        if row.kind == "coat" and row.zone == "sleeve" and "baste" in row.stages
    }
    assert pieces(Sign("sleeve"), stage="baste") == {"zone sleeve": (set(), shown)}


def test_zone_not_looked_at_says_nothing():
    assert pieces() == {}


def test_fault_dropped_from_the_catalogue_is_left_out():
    assert pieces(Sign("collar", "no-such-fault")) == {}


def test_one_side_alone_speaks_for_the_low_shoulder():
    # Articles of Style and GQ give one side clean as what tells a low shoulder from a square one.
    one, both = (ranked(Sign("shoulder", "shoulder-diagonals", side)) for side in ("R", "both"))
    assert (one[0], both[0]) == ("low-shoulder-R", "shoulder-too-square")


@pytest.mark.parametrize(
    ("said", "likelier", "less"),
    [
        (STOOPING, "back-balance-short", "back-balance-long"),
        (ERECT, "back-balance-long", "back-balance-short"),
        (figure(over_shoulder=17, **PLAIN), "shoulder-too-square", "shoulder-too-sloping"),
        (figure(over_shoulder=20, **PLAIN), "shoulder-too-sloping", "shoulder-too-square"),
        (
            figure(over_shoulder__L=18.25, over_shoulder__R=17.5, **PLAIN),
            "low-shoulder-R",
            "low-shoulder-L",
        ),
        (
            figure(over_shoulder__L=17.5, over_shoulder__R=18.25, **PLAIN),
            "low-shoulder-L",
            "low-shoulder-R",
        ),
    ],
)
def test_figure_moves_the_priors_its_way(said, likelier, less):
    before, after = network_for(BOOK, "coat").priors, network_for(BOOK, "coat", figure=said).priors
    assert after[likelier] > before[likelier]
    assert after[less] < before[less]


def test_both_shoulders_sloping_count_once():
    both = figure(over_shoulder__L=17, over_shoulder__R=17, **PLAIN)
    once = figure(over_shoulder=17, **PLAIN)
    assert network_for(BOOK, "coat", figure=both) == network_for(BOOK, "coat", figure=once)


def test_stoop_moves_odds_by_its_stated_factor():
    prior = network_for(BOOK, "coat").priors["back-balance-short"]
    moved = network_for(BOOK, "coat", figure=STOOPING).priors["back-balance-short"]
    assert moved / (1 - moved) == pytest.approx(STEPS["much likelier"] * prior / (1 - prior))


@pytest.mark.parametrize(
    ("kind", "place", "out", "cause"),
    [
        ("coat", ("waist", ""), -INCH, "waist-tight"),
        ("coat", ("waist", ""), INCH, "waist-loose"),
        ("overcoat", ("sleeve", "L"), -INCH, "sleeve-short"),
        ("trousers", ("seat", ""), -INCH, "hips-tight"),
        ("waistcoat", ("opening", ""), INCH, "opening-cut-low"),
    ],
)
def test_garment_measured_out_moves_its_cause(kind, place, out, cause):
    found = leanings(kind, None, {place: out})
    assert cause in {row.cause for row in found if row.factor > 1}


def test_two_sleeves_short_count_once():
    one, two = (
        leanings("coat", None, {("sleeve", s): -INCH for s in sides}) for sides in ("L", "LR")
    )
    assert one == two


def test_measure_inside_its_tolerance_says_nothing():
    assert leanings("coat", None, {("waist", ""): Length()}) == ()


def test_learnt_values_stand_for_the_catalogue():
    learnt = Learnt({"vent-making": 0.2}, {("vent-making", "vent-kicks"): 0.33})
    network = network_for(BOOK, "coat", learnt=learnt)
    assert network.priors["vent-making"] == pytest.approx(0.2)
    assert network.links["vent-making", "vent-kicks:L"] == 0.33


def test_leanings_name_only_what_there_is():
    rows = _rows()
    causes = {cause for row in rows["figure"] for cause in row["makes"]}
    causes |= {cause for row in rows["measured"] for way in ("under", "over") for cause in row[way]}
    points = {(kind, row["point"]) for row in rows["measured"] for kind in row["kinds"]}

    assert causes - BOOK.cause_by_key.keys() == set()
    assert points - {(kind, point.key) for kind in FINISHED for point in FINISHED[kind]} == set()
    assert "sleeve-to-cuff" in {point.key for point in BODY if point.sided}


def test_every_leaning_has_step_and_source():
    for row in [*_rows()["figure"], *_rows()["measured"]]:
        steps = {**row.get("makes", {}), **row.get("under", {}), **row.get("over", {})}.values()
        cited = [part.strip() for part in row["source"].split(";")]
        books = {part.replace(":", " ").split(" ")[0] for part in cited if part not in UNWRITTEN}
        assert set(steps) <= STEPS.keys()
        assert cited
        assert books <= BOOK.sources.keys()
