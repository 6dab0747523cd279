"""When the demo's house is open: Sundays closed, two weeks in August, England's holidays."""

import datetime
import uuid
from typing import Final

from django.contrib.auth.models import User

from fittings.demo.timetable import SUNDAY
from fittings.models import Absence, Closure, HolidayRule, OpeningHours

AUGUST: Final = 8
SUMMER: Final = (6, 19)  # of August, both counted
LEAVE: Final = (56, 61)  # days from today: nobody is booked so far ahead


def _id(name: str) -> uuid.UUID:
    return uuid.uuid5(uuid.NAMESPACE_OID, f"open days, {name}")


def open_doors(by: User, on_leave: User, now: datetime.datetime) -> None:
    """The owner said so when the house began to keep this ledger; one fitter asked for leave."""
    at = now - datetime.timedelta(days=3 * 365)
    OpeningHours.objects.create(pk=_id("Sunday"), at=at, by=by, weekday=SUNDAY)
    HolidayRule.objects.create(pk=_id("holidays"), at=at, by=by, country="GB", subdivision="ENG")
    first, last = (datetime.date(at.year, AUGUST, day) for day in SUMMER)
    summer = {"first": first, "last": last, "reason": "summer closing", "repeats": "yearly"}
    Closure.objects.create(pk=_id("summer"), at=at, by=by, **summer)
    begins, ends = (now.date() + datetime.timedelta(days=days) for days in LEAVE)
    leave = {"first": begins, "last": ends, "kind": Absence.Kind.LEAVE}
    Absence.objects.create(pk=_id("leave"), at=now, by=by, person=on_leave, **leave)
