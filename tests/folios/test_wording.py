import datetime

import pytest
from django.utils.safestring import mark_safe

from customers.lengths import parse
from customers.templatetags.lengths import fractions
from fittings import catalogue
from fittings.folios import wording
from fittings.folios.figure import MeasureRow
from fittings.folios.history import Event
from fittings.housebook.queries import HouseBook, one_book
from fittings.models import CauseTaken, Observation
from fittings.templatetags.folios import event_lines, measure_rows
from garments.models import Alteration, CarryAnswer, InlayMovement


@pytest.fixture(autouse=True)
def shipped_book():
    """These go by the catalogue as shipped, and ask no database for it."""
    with one_book(HouseBook(catalogue.load())):
        yield


@pytest.mark.parametrize(
    ("operation", "seam", "side", "amount", "said"),
    [
        ("let-out", "side-seam", "both", "3/8", "Let out side seam: 3/8 in each side"),
        (
            "let-out",
            "side-seam",
            "L",
            "3/8",
            "Let out side seam: 3/8 in each side of the seam, left only",
        ),
        ("take-in", "centre-back", "", "1", "Take in centre back seam: 1 in each side of the seam"),
        ("lost-art", "side-seam", "L", "1/4", "lost-art side-seam L 1/4"),
        ("let-out", "lost-seam", "", None, "let-out lost-seam"),
    ],
)
def test_alteration_in_words(operation, seam, *, side, amount, said):
    length = parse(amount) if amount else None
    alteration = Alteration(operation=operation, seam=seam, side=side, amount=length)

    assert wording.alteration_text(alteration, "coat", "in") == said


PROPOSED = {
    "causes": [
        {"cause": "back-balance-short", "probability": 0.6, "rank": 1},
        {"cause": "hips-tight", "probability": 0.3, "rank": 2},
    ]
}


@pytest.mark.parametrize(
    ("taken", "text", "note"),
    [
        (
            {"cause": "back-balance-short", "proposed": PROPOSED},
            "Back balance short taken to be behind it",
            "As proposed first.",
        ),
        (
            {"cause": "hips-tight", "proposed": PROPOSED},
            "Hips too tight taken to be behind it",
            "Proposed first: Back balance short; this as number 2.",
        ),
        (
            {"words": "the wallet", "proposed": PROPOSED},
            "“the wallet” taken to be behind it",
            "Proposed first: Back balance short; this not among them.",
        ),
        ({"cause": "lost-cause"}, "lost-cause taken to be behind it", ""),
    ],
)
def test_cause_taken_in_words(taken, text, note):
    assert wording.cause_text(CauseTaken(**taken)) == (text, note)


@pytest.mark.parametrize(
    ("zone", "fault", "side", "amount", "said"),
    [
        ("vents", "", "", None, "Vents: clean"),
        ("collar", "collar-stands-off", "", "3/8", "Collar: Stands off the neck, 3/8 in"),
        ("lost-zone", "lost-fault", "L", None, "lost-zone: lost-fault, left"),
    ],
)
def test_observation_in_words(zone, fault, *, side, amount, said):
    length = parse(amount) if amount else None
    seen = Observation(zone=zone, fault=fault, side=side, amount=length)

    assert wording.observation_text(seen, "coat", "in") == said


@pytest.mark.parametrize(
    ("reason", "amount", "said"),
    [
        ("used", "-3/8", "Side seam left: 3/8 in let out"),
        ("freed", "1/4", "Side seam left: 1/4 in taken in"),
        ("counted", "1/8", "Side seam left: counted, 1/8 in more than entered before"),
        ("counted", "-1/8", "Side seam left: counted, 1/8 in less than entered before"),
        ("counted", "0", "Side seam left: counted, as entered before"),
    ],
)
def test_inlay_in_words(reason, amount, said):
    movement = InlayMovement(
        seam="side-seam", side="L", amount=parse(amount, signed=True), reason=reason
    )

    assert wording.inlay_text(movement, "coat", "in") == said


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"accepted": True}, "Carried: let out, side seam, 1/2 in each side"),
        ({"accepted": False}, "Left out: let out, side seam, 1/4 in each side"),
        ({"accepted": True, "seam": "lost"}, "Carried: let-out lost, 1/2 in each side"),
        ({"accepted": True, "operation": "gone"}, "Carried: gone side-seam, 1/2 in both"),
    ],
)
def test_answer_to_the_memory_in_words(values, said):
    place = {"operation": "let-out", "seam": "side-seam", "side": "both"}
    answer = CarryAnswer(amount=parse("1/2"), proposed=parse("1/4"), **(place | values))

    assert wording.carried_text(answer, "coat", "in") == said


def test_moment_is_told_by_the_houses_clock():
    # British Summer Time: an hour ahead from 29 March 2026, 01:00 UTC (tz database, Europe/London)
    at = datetime.datetime(2026, 3, 29, 23, 30, tzinfo=datetime.UTC)

    assert wording.moment(at) == "30 Mar 2026, 00:30"
    assert wording.house_time(at).date() == datetime.date(2026, 3, 30)


@pytest.mark.parametrize(
    ("event", "told"),
    [
        (
            {"text": "Let out 3/8 in"},
            'Let out <span class="fraction">3/8</span> in <span class="quiet">– Nell</span>',
        ),
        (
            {"text": "<b>", "note": "<i>"},
            '&lt;b&gt;. <q>&lt;i&gt;</q> <span class="quiet">– Nell</span>',
        ),
        (
            {"text": "T1001-H", "url": "/t/"},
            '<a class="reach" href="/t/">T1001-H</a> <span class="quiet">– Nell</span>',
        ),
        (
            {"text": "Cut", "struck": "by <Ida>", "url": "/nowhere/"},
            '<s class="struck">Cut</s> <b>by &lt;Ida&gt;</b> <span class="quiet">– Nell</span>',
        ),
    ],
)
def test_event_is_drawn_and_escaped(event, told):
    at = datetime.datetime(2026, 3, 2, 10, tzinfo=datetime.UTC)

    line = event_lines([("10:00", Event(at, "Nell", "Stage", **event))])

    assert line == (
        '<li><span class="time">10:00</span> <span class="what">Stage</span> '
        f'<div class="told">{told}</div></li>'
    )


def test_fractions_escape_plain_text_and_keep_safe():
    typed = "<b>1/2</b>"

    drawn = [str(fractions(text)) for text in (typed, mark_safe(typed), typed)]

    fraction = '<span class="fraction">1/2</span>'
    escaped = f"&lt;b&gt;{fraction}&lt;/b&gt;"
    assert drawn == [escaped, f"<b>{fraction}</b>", escaped]


def test_measure_rows_show_a_dash_for_nothing():
    row = MeasureRow("Half back", "left", "8 in", "20.3 cm", "", [""])

    cells = "".join(
        f'<td class="number length">{text}</td>' for text in ("8 in", "20.3 cm", " ", "–")
    )
    assert measure_rows([row]) == f'<tr><th scope="row">Half back, left</th>{cells}</tr>'
