"""The screen's words and amounts: what a fitter reads and the workroom is told."""

import datetime

import pytest

from customers.lengths import Length
from fittings import catalogue
from fittings.housebook.queries import HouseBook, one_book
from fittings.models import Observation
from fittings.session import looking, screen
from fittings.session.screen import Work
from garments import seams

INCH = Length.inches


@pytest.fixture(autouse=True)
def shipped_book():
    """These go by the catalogue as shipped, and ask no database for it."""
    with one_book(HouseBook(catalogue.load())):
        yield


@pytest.mark.parametrize(
    ("amount", "unit", "text"),
    [
        ("3/8", "in", "⅜ in"),
        ("1", "in", "1 in"),
        ("1.25", "in", "1¼ in"),
        ("0.3125", "in", "5/16 in"),
        ("1.5", "cm", "3.8 cm"),
    ],
)
def test_amount_is_written_as_the_trade_does(amount, unit, text):
    assert screen.amount_text(INCH(amount), unit) == text


def test_no_amount_is_written_as_nothing():
    assert screen.amount_text(None, "in") == ""


@pytest.mark.parametrize(
    ("work", "amount", "words"),
    [
        (Work("let-out", "side-seam", "both"), 3, "Let out, side seam, ⅜ in each side"),
        (
            Work("lengthen-cuff", "cuff", "L"),
            2,
            "Lengthen sleeve at cuff, ¼ in left side only",
        ),
        (Work("redress-collar", "collar-seam", ""), None, "Remake collar"),
        (Work("gone", "nowhere", "L"), 1, "gone, nowhere, ⅛ in left"),
    ],
)
def test_alteration_is_said_as_to_the_bench(work, amount, words):
    length = seams.EIGHTH * amount if amount else None

    assert screen.work_words("coat", work, length, "in") == words


@pytest.mark.parametrize(
    ("inlays", "words"),
    [
        ({("side-seam", "L"): INCH(1), ("side-seam", "R"): INCH(1)}, "1 in each side"),
        (
            {("side-seam", "L"): INCH("0.5"), ("side-seam", "R"): INCH(1)},
            "½ in left, 1 in right",
        ),
        ({("hem", ""): INCH(2)}, ""),
        ({}, ""),
    ],
)
def test_inlay_is_said_side_by_side(inlays, words):
    assert screen.inlay_words("side-seam", inlays, "in") == words


@pytest.mark.parametrize(
    ("left", "amount", "words"),
    [
        # keep 3/8 inside: of 1 in there is 5/8 to give
        ("1", 5, ""),
        ("1", 6, "⅛ in more than the inlay can give"),
        ("0.5", 5, "½ in more than the inlay can give"),
    ],
)
def test_more_than_the_inlay_is_warned_of(left, amount, words):
    inlays = {("side-seam", side): INCH(left) for side in ("L", "R")}
    work = Work("let-out", "side-seam", "both")

    assert screen.shortfall_words("coat", work, seams.EIGHTH * amount, "in", inlays) == words


def test_taking_in_needs_no_inlay():
    inlays = {("side-seam", side): Length(0) for side in ("L", "R")}
    work = Work("take-in", "side-seam", "both")

    assert screen.shortfall_words("coat", work, INCH(1), "in", inlays) == ""


def zone(rows, key="shoulder"):
    seen = [Observation(zone=key, fault=fault, side=side) for fault, side in rows]
    return screen.zone_panel(catalogue.zone("coat", key), seen)


@pytest.mark.parametrize(
    ("rows", "state", "words"),
    [
        ([], "", "not looked at"),
        ([("", "")], "clean", "clean"),
        ([("shoulder-one-low", "L")], "fault", "1 fault"),
        ([("shoulder-one-low", "L"), ("shoulder-cramped", "both")], "fault", "2 faults"),
    ],
)
def test_zone_says_what_was_seen(rows, state, words):
    panel = zone(rows)

    assert (panel.state, panel.state_words) == (state, words)


def test_marks_fall_on_the_side_seen():
    marks = zone([("shoulder-one-low", "L"), ("shoulder-cramped", "both")]).marks

    assert [(mark.state, mark.count, mark.side) for mark in marks] == [
        ("fault", 1, "L"),
        ("fault", 1, ""),
    ]


def test_faults_of_this_stage_come_first():
    tiles = screen.tiles_of("coat", "collar", "baste")

    now = ["baste" in tile.fault.stages for tile in tiles]
    assert now == sorted(now, reverse=True)
    assert {tile.fault.key for tile in tiles} == {
        fault.key for fault in catalogue.faults("coat", "collar")
    }


@pytest.mark.parametrize("kind", ["coat", "overcoat", "waistcoat", "trousers"])
def test_every_fault_of_every_kind_has_a_tile(kind):
    tiles = [
        tile.fault.key
        for each in catalogue.zones(kind)
        for tile in screen.tiles_of(kind, each.key, "forward")
    ]

    assert sorted(tiles) == sorted(fault.key for fault in catalogue.faults(kind))


def test_usual_alterations_show_each_cause_once_first():
    offers = looking.usual("coat", "first-fitting", "collar-stands-off", "", INCH("0.5"))
    causes = [offer.cause.key for offer in offers]

    leading = causes[: len(set(causes))]
    assert len(set(leading)) == len(leading)
    assert leading[0] == catalogue.causes_of("collar-stands-off")[0].cause


@pytest.mark.parametrize("purpose", ["first-fitting", "forward-fitting", "final-look"])
@pytest.mark.parametrize("fault", catalogue.load().faults, ids=lambda row: row.key)
def test_usual_alteration_can_be_recorded_as_offered(fault, purpose):
    side = "L" if fault.sided else ""
    for offer in looking.usual(fault.kind, purpose, fault.key, side, seams.EIGHTH * 3):
        amount = seams.EIGHTH if offer.asks_amount else offer.amount
        work = (offer.operation, offer.seam, offer.side, amount)
        assert seams.refusals(fault.kind, *work) == []


def test_usual_alterations_are_told_apart_by_key():
    for fault in catalogue.load().faults:
        keys = [o.key for o in looking.usual(fault.kind, "first-fitting", fault.key, "", None)]
        assert len(keys) == len(set(keys))


@pytest.mark.parametrize("side", ["L", "R", "both"])
def test_same_work_is_offered_once(side):
    for fault in (row for row in catalogue.load().faults if row.sided):
        offers = looking.usual(fault.kind, "forward-fitting", fault.key, side, INCH("0.25"))
        work = [(offer.operation, offer.seam, offer.side) for offer in offers]
        assert len(work) == len(set(work))


def test_amount_is_asked_where_none_was_measured():
    offers = looking.usual("coat", "first-fitting", "collar-stands-off", "", None)

    assert [offer.asks_amount for offer in offers] == [
        seams.operation(offer.operation).takes_amount for offer in offers
    ]


@pytest.mark.parametrize(
    ("due", "look"),
    [("2026-02-03", "2026-02-04"), ("2026-02-06", "2026-02-09"), ("2026-02-07", "2026-02-09")],
)
def test_next_look_is_the_workday_after(due, look):
    assert screen.workday_after(datetime.date.fromisoformat(due)).isoformat() == look
