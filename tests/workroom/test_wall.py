"""The wall: what stands on it, and whether it can be read from two metres."""

import datetime
import math
import re
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from fontTools.ttLib import TTFont

from garments.workroom.board import LINES, wall_groups
from garments.workroom.queries import for_list
from tests.workroom.scenes import answer

STATIC = Path(__file__).parents[2] / "static"
DISTANCE = 2000  # mm
PIXEL = 217 / 1180  # mm: a tablet of 1180 pixels on 217 mm, the smallest they come in
ROOT = 16  # px in a rem
# ISO 9241-3: the height of capitals, in minutes of arc; at least, and preferred.
LEAST, PREFERRED = 16, 20


@pytest.fixture
def as_wall(as_bench):
    return lambda: as_bench.get(reverse("workroom:wall"))


def minutes_of_arc(rems, weight):
    font = TTFont(STATIC / f"fonts/literata-{weight}.woff2")
    capital = font["OS/2"].sCapHeight / font["head"].unitsPerEm
    height = rems * ROOT * capital * PIXEL
    return math.degrees(2 * math.atan(height / 2 / DISTANCE)) * 60


@pytest.mark.parametrize(
    ("name", "weight", "least"), [("seek", 600, PREFERRED), ("read", 400, LEAST)]
)
def test_letters_on_the_wall_are_read_from_two_metres(name, weight, least):
    css = (STATIC / "css/wall.css").read_text()
    # However wide the screen, never under the first of the two sizes.
    (rems,) = re.findall(rf"--{name}: max\(([0-9.]+)rem,", css)

    angle = minutes_of_arc(float(rems), weight)

    assert least <= angle < least + 1


def test_every_size_on_the_wall_is_one_of_the_two():
    css = (STATIC / "css/wall.css").read_text()

    assert set(re.findall(r"font-size: ([^;]+);", css)) == {"var(--seek)", "var(--read)"}


def test_wall_shows_the_late_first_with_who_has_it(as_wall, make_tickets, bench, monkeypatch):
    today = timezone.localdate()
    (late,) = make_tickets(1, due_on=today)
    (soon,) = make_tickets(1, due_on=today + datetime.timedelta(days=1))
    answer(late.revisions.get(), "taken", bench)
    after = today + datetime.timedelta(days=1)
    monkeypatch.setattr(timezone, "localdate", lambda: after)

    groups = as_wall().context["groups"]

    assert [(name, [(row.number, row.who) for row in rows]) for name, rows in groups] == [
        ("late", [(late.number, bench.first_name)]),
        ("today", [(soon.number, "")]),
    ]


@pytest.mark.parametrize(("kind", "said"), [("asks", "asks"), ("cannot", "back")])
def test_wall_says_what_stands_still(as_wall, make_tickets, bench, kind, said):
    (ticket,) = make_tickets(1)
    answer(ticket.revisions.get(), kind, bench, reason="Look at it")

    ((_, (row,)),) = as_wall().context["groups"]

    assert row.who == said


def test_wall_ends_where_the_screen_does(as_wall, make_tickets, tomorrow):
    make_tickets(4, due_on=tomorrow)
    make_tickets(4, due_on=tomorrow + datetime.timedelta(days=1))

    response = as_wall()

    groups = response.context["groups"]
    assert sum(1 + len(rows) for _, rows in groups) == LINES
    assert response.context["owed"] == 8


def test_wall_never_ends_with_a_bare_heading(make_tickets, tomorrow):
    make_tickets(LINES - 2, due_on=tomorrow)
    make_tickets(1, due_on=tomorrow + datetime.timedelta(days=1))

    groups = wall_groups(for_list("", None, tomorrow), {}, tomorrow)

    assert [len(rows) for _, rows in groups] == [LINES - 2]


def test_wall_with_nothing_owed_says_so(as_wall):
    assert as_wall().content.decode().count("Nothing is owed") == 1


# Session, user and groups; bench, what is owed (the tag); people, rows, their lines; the lines
# owed, the bench's hours.
@pytest.mark.parametrize("count", [1, 3, 10])
def test_wall_asks_the_same_queries(as_wall, make_tickets, django_assert_num_queries, count):
    make_tickets(count)

    with django_assert_num_queries(10):
        as_wall()
