"""What no promise can be made from is refused with a sentence, never planned and never hung on."""

import datetime

import pytest

from fittings.promise import (
    Away,
    Case,
    HouseCalendar,
    Order,
    Overtime,
    Period,
    PromiseError,
    Stage,
    ask,
    schedule,
)
from fittings.promise.public_holidays import public_holidays
from fittings.promise.stages import in_order, read_stages, without
from tests.fittings.promise.benches import DAY, LONDON, TODAY, WEEKDAYS, workroom

NINE, SIX = datetime.time(9), datetime.time(18)
date = datetime.date


def plan(order, room=None, today=TODAY):
    return schedule(room or workroom(), [order], today)


def due(day):
    return Order("it", "coat", day)


REFUSED = {
    "has gone by": lambda: ask(workroom(), [], due(TODAY - DAY), TODAY),
    "over three years away": lambda: plan(due(date(3026, 5, 1))),
    "No plans are made in the year 9999": lambda: plan(due(None), today=date(9999, 12, 1)),
    "is over three years": lambda: plan(Order("it", "coat", booked={"cut": date(1026, 1, 1)})),
    "before it starts on 2 March 2026": lambda: Period(TODAY, TODAY - DAY),
    "lasts longer than three years": lambda: Period(TODAY, date(3026, 1, 1)),
    "Nobody sits at the bench of the coat maker": lambda: plan(
        due(None), workroom(hands={"cutter": 1, "finisher": 1})
    ),
    "do not get to this within three years": lambda: plan(
        due(None),
        workroom(
            away=tuple(
                Away("cutter 0", Period(TODAY + n * DAY, TODAY + (n + 900) * DAY)) for n in (0, 900)
            )
        ),
    ),
    "is closed for three years": lambda: HouseCalendar(
        {0: (NINE, SIX)}, LONDON, frozenset(TODAY + n * DAY for n in range(1200))
    ).next_open(TODAY),
    "no day of the week": lambda: HouseCalendar({}, LONDON),
    "before it opens": lambda: HouseCalendar({0: (SIX, NINE)}, LONDON),
    "no weekday 7": lambda: HouseCalendar({7: (NINE, SIX)}, LONDON),
    "beyond any calendar": lambda: WEEKDAYS.shift(date.max, 3),
    "no stages are known for “gown”": lambda: plan(Order("it", "gown")),
    "has no stage “starch”": lambda: plan(Order("it", "coat", done=frozenset({"starch"}))),
    "“cloth” is not done yet": lambda: plan(
        Order("it", "coat", done=frozenset({"cloth"}), done_on={"cloth": TODAY + DAY})
    ),
    "“cut” is not done yet": lambda: plan(Order("it", "coat", done_on={"cut": TODAY})),
    "Two orders share a key": lambda: schedule(workroom(), [due(None), due(TODAY)], TODAY),
    "share a key": lambda: ask(workroom(), [due(TODAY)], due(None), TODAY),
    "sits at one bench only": lambda: workroom().with_maker("finisher", "cutter 0"),
    "no craft “baker”": lambda: workroom().with_maker("baker", "someone"),
    "sits at no bench": lambda: workroom(away=(Away("nobody", Period(TODAY, TODAY)),)),
    "twelve hours": lambda: workroom(minutes=1440),
    "no day is over twelve hours": lambda: Overtime("cutter", -5, Period(TODAY, TODAY)),
    "There is no craft “cook”": lambda: workroom().with_overtime(
        Overtime("cook", 30, Period(TODAY, TODAY))
    ),
    "no order “lost”": lambda: Case(workroom(), (), TODAY).one_fitting_less("lost", "final-look"),
    "not before it any more": lambda: Case(
        workroom(), (Order("it", "coat", done=frozenset({"first-fitting"})),), TODAY
    ).one_fitting_less("it", "first-fitting"),
    "no fitting “cut” to leave out": lambda: without([Stage("cut")], "cut"),
    "wait for each other": lambda: in_order([Stage("a", after=("b",)), Stage("b", after=("a",))]),
    "“gone”, which is not there": lambda: in_order([Stage("a", after=("gone",))]),
    "Two stages share": lambda: in_order([Stage("a"), Stage("a")]),
    "takes a time no garment takes": lambda: Stage("a", craft="cutter", minutes=-1),
    "needs both a craft and its minutes": lambda: Stage("a", minutes=10),
    "either bench work or a fitting": lambda: Stage("a", craft="cutter", minutes=1, fitting=True),
    "coat “a” has no source": lambda: read_stages('[[coat]]\nkey = "a"\n'),
    "names no craft of the house": lambda: read_stages(
        '[[coat]]\nkey = "a"\ncraft = "baker"\nsource = "x"'
    ),
    "“a” cannot be read": lambda: read_stages('[[coat]]\nkey = "a"\ncolour = 1\nsource = "x"'),
    "The stages cannot be read": lambda: read_stages("[[coat"),
    "country “XX”": lambda: public_holidays("XX", years=[2026]),
    "GB has no part “ZZ”": lambda: public_holidays("GB", "ZZ", years=[2026]),
    "from 1900 to 2100, not for 3026": lambda: public_holidays("GB", years=[3026]),
}


@pytest.mark.parametrize("says", REFUSED)
def test_nonsense_is_refused_with_its_reason(says):
    with pytest.raises(PromiseError) as refused:
        REFUSED[says]()

    assert says in str(refused.value)


def test_promise_already_past_is_late_not_refused():
    found = plan(due(TODAY - 30 * DAY))["it"]

    assert found.late
    assert found.stage("cut").latest < TODAY


def test_stage_behind_is_no_longer_asked_for():
    found = plan(Order("it", "coat", done=frozenset({"cloth"})))["it"]

    with pytest.raises(PromiseError, match="no stage “cloth” before it"):
        found.stage("cloth")
