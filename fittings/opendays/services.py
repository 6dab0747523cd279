"""The one way in for each write to the house's calendar."""

import datetime
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone

from customers.ledger import already_kept, refuse_used, take_back
from customers.models import House
from customers.people import name_of
from fittings.models import Absence, Closure, HolidayRule, OpeningHours
from fittings.models.calendar import WEEKDAYS
from fittings.opendays.closings import ONCE, WEEK, WEEKLY, YEARLY, Closing, OpenDays
from fittings.opendays.queries import closing_of, entered, standing_rule
from fittings.promise.calendar import FURTHEST, Period
from fittings.promise.errors import PromiseError
from fittings.promise.public_holidays import countries, parts_of
from fittings.spoken import date_text

DAY = datetime.timedelta(days=1)
YEAR = 365  # days: what comes back every year must be over by then
Hours = tuple[datetime.time, datetime.time]
Row = TypeVar("Row", bound=models.Model)
ENDED = "Someone else ended this meanwhile."


def set_week(*, entry_id: uuid.UUID, week: Mapping[int, Hours | None], by: User) -> None:
    """The hours of each weekday named (Monday 0), None for closed. Only what changes is entered.

    ValidationError keyed ``closes_0`` to ``closes_6`` when one closes before it opens.
    """
    with _in_turn():
        ids = {weekday: uuid.uuid5(entry_id, str(weekday)) for weekday in week}
        kept = entered().week
        if made := OpeningHours.objects.filter(pk__in=ids.values()):
            same = all(kept.get(weekday) == hours for weekday, hours in week.items())
            refuse_used(same=same and all(row.by_id == by.pk for row in made))
            return
        _refuse_week(week)
        standing = {row.weekday: row for row in OpeningHours.objects.standing()}
        for weekday, hours in week.items():
            if kept.get(weekday) == hours:
                continue
            opens, closes = hours or (None, None)
            OpeningHours.objects.create(
                pk=ids[weekday],
                weekday=weekday,
                opens=opens,
                closes=closes,
                strikes=standing.get(weekday),
                by=by,
            )


def add_closure(
    *,
    entry_id: uuid.UUID,
    first: datetime.date,
    last: datetime.date,
    reason: str,
    repeats: str = ONCE,
    by: User,
) -> Closure:
    """Close the house from ``first`` to ``last``, both counted, once or coming back.

    Bookings of those days stay as they are: the calendar's page lists what has to be moved.
    """
    with _in_turn():
        said: dict[str, Any] = {
            "first": first,
            "last": last,
            "reason": reason.strip(),
            "repeats": repeats,
        }
        if kept := already_kept(Closure, entry_id, by, strikes=None):
            return _same(kept, said)
        _refuse_days(first, last, may_be_over=bool(repeats))
        _refuse_too_often(first, last, repeats)
        _refuse_closed_already(first, last, repeats)
        closure = Closure(pk=entry_id, by=by, **said)
        closure.clean_fields()
        closure.save(force_insert=True)
    return closure


def end_closure(*, entry_id: uuid.UUID, closure: Closure, by: User) -> Closure:
    """Open again from today on; what has not begun is taken back whole."""
    today = timezone.localdate()
    with _in_turn():
        if kept := already_kept(Closure, entry_id, by, strikes=closure):
            return kept
        _refuse_ended(Closure.objects.standing().filter(pk=closure.pk).exists())
        same = ("first", "last", "reason", "repeats", "until")
        if closure.first >= today:
            return take_back(closure, entry_id=entry_id, by=by, same=same)
        shorter = Closure(pk=entry_id, strikes=closure, by=by)
        for name in same:
            setattr(shorter, name, getattr(closure, name))
        if closure.repeats:
            shorter.until = today - DAY
        else:
            shorter.last = min(closure.last, today - DAY)
        shorter.save(force_insert=True)
    return shorter


def add_absence(
    *,
    entry_id: uuid.UUID,
    person: User,
    first: datetime.date,
    last: datetime.date,
    since: datetime.time | None = None,
    until: datetime.time | None = None,
    kind: str = Absence.Kind.LEAVE,
    by: User,
) -> Absence:
    """Someone does not work from ``first`` to ``last``, both counted. Bookings stay as they are.

    With hours, from ``since`` to ``until`` of each of these days alone.
    """
    with _in_turn():
        said: dict[str, Any] = {"first": first, "last": last, "kind": kind}
        said |= {"since": since, "until": until}
        if kept := already_kept(Absence, entry_id, by, strikes=None, person=person):
            return _same(kept, said)
        _refuse_days(first, last)
        if since and until and until <= since:
            raise ValidationError({"until": "It must be later than the time from which on."})
        meets = Absence.objects.standing().filter(person=person, first__lte=last, last__gte=first)
        if until is not None:
            meets = meets.filter(Q(since=None) | Q(since__lt=until))
        if since is not None:
            meets = meets.filter(Q(until=None) | Q(until__gt=since))
        if other := meets.first():
            raise ValidationError(
                {"first": f"{name_of(person)} is away then already: {span_text(other)}."}
            )
        absence = Absence(pk=entry_id, person=person, by=by, **said)
        absence.clean_fields()
        absence.save(force_insert=True)
    return absence


def end_absence(*, entry_id: uuid.UUID, absence: Absence, by: User) -> Absence:
    """Back at work from today on; an absence that has not begun is taken back whole."""
    yesterday = timezone.localdate() - DAY
    with _in_turn():
        if kept := already_kept(Absence, entry_id, by, strikes=absence):
            return kept
        _refuse_ended(Absence.objects.standing().filter(pk=absence.pk).exists())
        if absence.first > yesterday:
            same = ("person", "first", "last", "since", "until", "kind")
            return take_back(absence, entry_id=entry_id, by=by, same=same)
        return Absence.objects.create(
            pk=entry_id,
            strikes=absence,
            person=absence.person,
            first=absence.first,
            last=min(absence.last, yesterday),
            since=absence.since,
            until=absence.until,
            kind=absence.kind,
            by=by,
        )


def keep_holidays(
    *, entry_id: uuid.UUID, country: str, subdivision: str = "", by: User
) -> HolidayRule:
    """Keep the public holidays of a country or a part of it; of none where both are empty."""
    with _in_turn():
        if kept := already_kept(HolidayRule, entry_id, by):
            return _same(kept, {"country": country, "subdivision": subdivision})
        if country and country not in countries():
            raise ValidationError({"country": "Choose a country of the list."})
        if subdivision and subdivision not in parts_of(country):
            raise ValidationError({"subdivision": "Choose a part of that country."})
        old = standing_rule()
        worked = old.open_anyway if old and old.country == country else []
        return HolidayRule.objects.create(
            pk=entry_id,
            country=country,
            subdivision=subdivision,
            open_anyway=worked,
            strikes=old,
            by=by,
        )


def work_on_holiday(*, entry_id: uuid.UUID, name: str, open_anyway: bool, by: User) -> HolidayRule:
    """Work on the holiday called ``name`` all the same, or keep it again, every year."""
    with _in_turn():
        if kept := already_kept(HolidayRule, entry_id, by):
            refuse_used(same=(name in kept.open_anyway) is open_anyway)
            return kept
        old = standing_rule()
        if old is None or not old.country:
            raise ValidationError("Choose whose public holidays the house keeps first.")
        others = [known for known in old.open_anyway if known != name]
        return HolidayRule.objects.create(
            pk=entry_id,
            country=old.country,
            subdivision=old.subdivision,
            open_anyway=[*others, name] if open_anyway else others,
            strikes=old,
            by=by,
        )


def span_text(row: Absence | Closure) -> str:
    """The days of an entry, as they are spoken."""
    hours = f", {row.hours_text}" if isinstance(row, Absence) and row.hours_text else ""
    if row.first == row.last:
        return f"{date_text(row.first)}{hours}"
    return f"{date_text(row.first)} to {date_text(row.last)}{hours}"


@contextmanager
def _in_turn() -> Iterator[None]:
    """One transaction, taking turns with bookings: nobody books a day while it is being closed."""
    with transaction.atomic():
        House.take_turns()
        yield


def _same(kept: Row, said: Mapping[str, object]) -> Row:
    """The row the same tap made before; refused when it says something else."""
    refuse_used(same=all(getattr(kept, name) == value for name, value in said.items()))
    return kept


def _refuse_week(week: Mapping[int, Hours | None]) -> None:
    wrong = {
        f"closes_{weekday}": f"{WEEKDAYS[weekday]}: it must close after it opens."
        for weekday, hours in week.items()
        if hours and hours[1] <= hours[0]
    }
    if wrong:
        raise ValidationError(wrong)
    if set(week) == set(range(WEEK)) and not any(week.values()):
        raise ValidationError("The house is open on one day of the week at least.")


def _refuse_days(first: datetime.date, last: datetime.date, *, may_be_over: bool = False) -> None:
    today = timezone.localdate()
    try:
        Period(first, last)
    except PromiseError as error:
        raise ValidationError({"last": str(error)}) from error
    if last < today and not may_be_over:
        raise ValidationError({"last": "Those days are over."})
    if abs(first - today) > FURTHEST:
        raise ValidationError(
            {"first": "That is more than three years from now: look at the year."}
        )


def _refuse_too_often(first: datetime.date, last: datetime.date, repeats: str) -> None:
    days = (last - first).days + 1
    if repeats == WEEKLY and days >= WEEK:
        raise ValidationError({"last": "What comes back every week lasts six days at most."})
    if repeats == YEARLY and days >= YEAR:
        raise ValidationError({"last": "What comes back every year lasts less than a year."})


def _refuse_closed_already(first: datetime.date, last: datetime.date, repeats: str) -> None:
    """Two of one kind may not meet; a fortnight in summer may well hold weekly closed days."""
    new = Closing(first, last, "closed", repeats)
    for row in Closure.objects.standing().filter(repeats=repeats):
        old = closing_of(row)
        if any(old.covers(day) for day in Period(first, last)) or any(
            new.covers(day) for day in Period(row.first, row.last)
        ):
            raise ValidationError(
                {"first": f"The house is closed then already: {row.reason}, {span_text(row)}."}
            )
    if repeats == WEEKLY:
        _refuse_closed_for_good(new)


def _refuse_closed_for_good(new: Closing) -> None:
    kept = entered().days
    weekly = [row for row in kept.closings if row.repeats == WEEKLY]
    week = OpenDays(kept.week, [*weekly, new])
    begins = max(new.first, timezone.localdate())
    if all(week.why_closed(begins + number * DAY) for number in range(WEEK)):
        raise ValidationError({"first": "Then the house would be open on no day of the week."})


def _refuse_ended(stands: bool) -> None:  # noqa: FBT001 - the question stands where it is asked
    if not stands:
        raise ValidationError(ENDED)
