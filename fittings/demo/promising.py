"""Who makes in the demo house, and the promise of the coming week that slips and can be saved."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from django.contrib.auth.models import User

from fittings.demo.house import Staff
from fittings.models import Maker
from fittings.promise import Case, Order, Overtime, Period
from fittings.promise.calendar import DAY
from fittings.promising.queries import Promises, read_promises
from garments.models import Garment

SOONEST, COMING_WEEK = 3, 7  # days from today
MORE = 120  # minutes of overtime a day
SINCE: Final = datetime.date(2019, 9, 2)
WEDDING: Final = "The wedding is earlier than we were told: she rang."


@dataclass(frozen=True, slots=True)
class Seat:
    """A place at a bench. Who has a user name signs in; the others are outworkers."""

    name: str
    craft: str
    username: str = ""
    minutes: int = 420


SEATS: Final = (
    Seat("Vostan Hobthwick", "cutter", "vostan", 300),
    Seat("Seffor Pellrow", "coat-maker", "seffor"),
    Seat("Haskeck Grintlode", "coat-maker", "haskeck"),
    Seat("Ulveth Corrowby", "coat-maker", minutes=360),
    Seat("Yarreth Mottwend", "trouser-maker", "yarreth"),
    # One alone: the bench at which the promises of this house slip.
    Seat("Imber Tolquist", "finisher"),
)


def seat_makers(staff: Staff) -> None:
    """Write who sits at which bench."""
    people: dict[str, User] = {
        person.username: person for person in (staff.owner, *staff.fitters, *staff.hands)
    }
    Maker.objects.bulk_create(
        Maker(
            name=seat.name,
            craft=seat.craft,
            minutes=seat.minutes,
            since=SINCE,
            user=people.get(seat.username),
        )
        for seat in SEATS
    )


def bring_a_wedding_forward(today: datetime.date) -> None:
    """One garment is wanted within the week: too soon as things are, not with some help.

    Which one and by when is left to the plan itself: best one that waits at a bench.
    """
    promises = read_promises(today)
    slipping = list(_slipping(promises))
    if not slipping:
        return
    moved = next((order for order, waits in slipping if waits), slipping[0][0])
    garment = Garment.objects.get(number=moved.key)
    garment.promised_on = moved.due
    garment.notes = WEDDING
    garment.version += 1
    garment.save(update_fields=["promised_on", "notes", "version"])


def _slipping(promises: Promises) -> Iterator[tuple[Order, bool]]:
    """Orders moved into the coming week that are then late, and on time after one change.

    With each, whether it is late for other work alone.
    """
    case = promises.case
    week = [case.today + number * DAY for number in range(SOONEST, COMING_WEEK + 1)]
    for order in case.orders:
        if order.due is None or order.due <= week[-1]:
            continue
        for day in filter(case.workroom.calendar.is_open, week):
            moved = replace(order, due=day)
            trial = replace(case, orders=_with(promises, moved))
            plan = trial.plans()[moved.key]
            if plan.late and not all(_late(cure, moved.key) for cure in _cures(trial, moved)):
                yield moved, plan.unhindered <= day


def _with(promises: Promises, moved: Order) -> tuple[Order, ...]:
    """The orders due by its new day, in the order the plan of all would have them."""
    day = moved.due or datetime.date.max
    orders = (moved if row.key == moved.key else row for row in promises.case.orders)
    first = [row for row in orders if row.due and row.due <= day]
    return tuple(sorted(first, key=lambda row: (row.due, promises.told[row.key].serial)))


def _cures(case: Case, order: Order) -> Iterator[Case]:
    """One change each, as the page offers them."""
    period = Period(case.today, case.today + COMING_WEEK * DAY)
    for craft in ("coat-maker", "trouser-maker", "finisher"):
        yield case.overtime(Overtime(craft, MORE, period))
        yield case.another_maker(craft)
    for row in case.stages[order.kind]:
        if row.fitting and row.key not in order.done:
            yield case.one_fitting_less(order.key, row.key)


def _late(case: Case, key: str) -> bool:
    return case.plans()[key].late
