"""The small parts the demo is told with: names, the timetable, hidden causes, the drawing."""

import datetime
from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from fittings import catalogue
from fittings.demo.bodies import FITTED, Body
from fittings.demo.house import PASSWORD, STAFF
from fittings.demo.names import draw_names, is_invented
from fittings.demo.pictures import SIZE, chalk_drawing
from fittings.demo.record import moment
from fittings.demo.scenes import CAUSES, Day
from fittings.demo.timetable import CLOSES, OPENS, Timetable
from fittings.demo.truth import FLAWED, draw_causes, make_cause
from fittings.session import looking

THURSDAY = datetime.date(2026, 3, 12)
MIDDLE = {name: mean for name, (mean, _) in FITTED.items()}
SOUND = ("Heron", 1)


def rng(seed=1):
    return np.random.default_rng(seed)


def body(**values):
    return Body(**{"girths": MIDDLE, "stoop": 0, "slope": 0, "low": "", "low_by": 0} | values)


def share(cause, *, figure, kind="coat", cut=SOUND, learnt=frozenset(), tries=600):
    """How many of so many garments have the cause in them."""
    chance = rng()
    drawn = (draw_causes(chance, kind, figure, cut, learnt) for _ in range(tries))
    return sum(cause in {hidden.cause for hidden in causes} for causes in drawn) / tries


def test_names_are_different_and_invented():
    names = draw_names(rng(), 150)

    assert len(set(names)) == 150
    assert [name for name in names if not is_invented(*name)] == []


def test_people_of_the_house_are_invented():
    assert [hand for hand in STAFF if not is_invented(hand.given, hand.family)] == []


def test_real_name_is_not_taken_for_invented():
    assert not is_invented("William", "Fallowmere")


def test_sign_in_names_are_short_and_different():
    assert len({hand.username for hand in STAFF}) == len(STAFF)
    assert len(PASSWORD) >= 10


def test_timetable_never_gives_a_time_twice():
    table, chance = Timetable(2, THURSDAY), rng()

    found = [table.find(chance, THURSDAY, f"hand {n % 3}", 60) for n in range(60)]

    by_room = sorted((day, room, start) for day, start, room in found)
    gaps = [
        later[2] - earlier[2] for earlier, later in pairwise(by_room) if earlier[:2] == later[:2]
    ]
    assert min(gaps) >= 60
    assert all(OPENS <= start <= CLOSES - 60 for _, start, _ in found)


def test_timetable_keeps_today_and_sundays_free():
    table, chance = Timetable(1, THURSDAY), rng()
    found = {table.find(chance, THURSDAY, "hand", 240)[0] for _ in range(12)}

    assert {day.weekday() for day in found} == {0, 1, 2, 3, 4, 5}
    assert min(found) == datetime.date(2026, 3, 13)


def test_timetable_gives_a_released_time_again():
    table = Timetable(1, THURSDAY)
    friday = datetime.date(2026, 3, 13)
    assert table.take(friday, 600, 660, "hand", 0)
    refused = table.take(friday, 630, 690, "hand", 0)
    table.release(friday, 600, 660, "hand", 0)

    assert not refused
    assert table.take(friday, 630, 690, "hand", 0)


@pytest.mark.parametrize(
    ("cause", "figure"),
    [
        ("back-balance-short", body(stoop=0.8)),
        ("back-balance-long", body(stoop=-0.8)),
        ("shoulder-too-square", body(slope=-0.8)),
        ("shoulder-too-sloping", body(slope=0.8)),
        ("low-shoulder-R", body(low="R", low_by=0.6)),
        ("waist-tight", body(girths={**MIDDLE, "waist": 100})),
    ],
)
def test_figure_makes_its_own_cause(cause, figure):
    assert share(cause, figure=figure) > share(cause, figure=body()) + 0.2


def test_what_was_learnt_comes_less_often():
    stooping = body(stoop=0.8)

    again = share("back-balance-short", figure=stooping, learnt=frozenset({"back-balance-short"}))

    assert again < share("back-balance-short", figure=stooping) / 2


def test_flawed_cut_is_narrow_in_coats_alone():
    flawed = share("back-too-narrow", figure=body(), cut=FLAWED)

    assert flawed > 0.4
    assert share("back-too-narrow", figure=body(), cut=("Wren", 2)) < 0.1
    assert share("back-too-narrow", figure=body(), cut=FLAWED, kind="trousers") == 0


@pytest.mark.django_db
@pytest.mark.parametrize(("kind", "cause"), [(k, c) for k, v in CAUSES.items() for c in v])
def test_made_cause_shows_as_faults_the_screen_takes(kind, cause):
    signs = make_cause(rng(), kind, cause).signs

    assert signs
    refused = [looking.refusals(kind, sign.fault.zone, sign.fault.key, sign.side) for sign in signs]
    assert refused == [{}] * len(signs)


def test_causes_are_all_of_the_catalogue():
    known = {cause.key for cause in catalogue.load().causes}
    figure = body(stoop=0.8, slope=-0.8, low="L", low_by=0.5)
    drawn = {
        hidden.cause
        for kind in ("coat", "waistcoat", "trousers", "overcoat")
        for seed in range(60)
        for hidden in draw_causes(rng(seed), kind, figure, FLAWED, frozenset())
    }

    assert drawn - known == set()


@pytest.mark.parametrize("hour", [0, 3, 8, 12, 17, 23])
def test_day_lies_around_the_hour_it_is(hour):
    day = Day(THURSDAY, moment(THURSDAY, hour * 60 + 17))

    begins, ends = day.times(60, 90)
    assert day.by_now(-30, 5) <= day.now
    assert (begins.date(), ends.date()) == (THURSDAY, THURSDAY)


def test_ago_never_falls_on_a_sunday():
    day = Day(THURSDAY, moment(THURSDAY, 800))

    days = [day.ago(number).date() for number in range(1, 30)]

    assert [found for found in days if found.weekday() == 6] == []
    assert max(days) == datetime.date(2026, 3, 11)


def test_drawing_is_a_picture_and_no_two_alike():
    one, other = chalk_drawing(rng(1)), chalk_drawing(rng(2))

    assert Image.open(BytesIO(one)).size == SIZE
    assert one != other
