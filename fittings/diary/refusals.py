"""Why a time cannot be booked, whoever asks: the form says it early, the service always. Pure."""

import datetime
from typing import NamedTuple

from fittings.diary.slots import QUARTER, Hours, Span
from fittings.spoken import date_text

AHEAD = datetime.timedelta(days=366)
MINUTE = datetime.timedelta(minutes=1)


class Refusal(NamedTuple):
    """Beside which field, in which words, and whether a fitter may keep the time all the same."""

    field: str
    why: str
    may_insist: bool = False


def day_refusal(day: datetime.date, hours: Hours, now: datetime.datetime) -> str:
    """What is wrong with the day whatever the time: over, or so far off that the year is a slip."""
    today = hours.day_of(now)
    if day < today:
        return "That day is over."
    return "That is more than a year ahead." if day > today + AHEAD else ""


def refusal_of(span: Span, hours: Hours, now: datetime.datetime) -> Refusal | None:
    """What the house's clock and calendar say against ``span``, which begins at most a quarter ago.

    Closed days and hours are the house's own to break: a customer is fitted at his office in the
    evening, or on a Sunday before a wedding.
    """
    day = hours.day_of(span.starts)
    if wrong := day_refusal(day, hours, now):
        return Refusal("date", wrong)
    if span.starts <= now - QUARTER:
        return Refusal("time", "That time is over.")
    if reason := hours.why_closed(day):
        shown = f"{day:%A} {date_text(day)}"
        return Refusal("date", f"No fittings on {shown}: {reason}.", may_insist=True)
    opening, (opens, closes) = hours.on(day), hours.clock(day)
    if span.starts < opening.starts or span.ends > opening.ends:
        why = (
            f"{hours.says} from {opens:%H:%M} to {closes:%H:%M}, "
            f"and this takes {(span.ends - span.starts) // MINUTE} minutes."
        )
        return Refusal("time", why, may_insist=True)
    return None
