"""Days as lists write them. ISO 8601 first; of 3/4/2024 nobody can say which comes first: ask."""

import calendar
import datetime
import re
from collections.abc import Iterable
from typing import Final

DAY_FIRST: Final = "day"
MONTH_FIRST: Final = "month"
ORDERS: Final = (DAY_FIRST, MONTH_FIRST)
_ISO: Final = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})(?:[T ][0-9:.]+Z?)?")
_SLASHED: Final = re.compile(r"([0-9]{1,2})[/-]([0-9]{1,2})[/-]([0-9]{4})")
# With points the day always comes first (DIN 5008, from memory).
_DOTTED: Final = re.compile(r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4})")
_NAMED: Final = re.compile(r"([0-9]{1,2})[ -]([A-Za-z]{3,9})\.?[ -]([0-9]{4})")
_MONTHS: Final = tuple(name.lower() for name in calendar.month_name[1:])
LIKE: Final = "write it as year-month-day, such as 2024-03-31"


class DayError(ValueError):
    """A text that is no day; the message says what would be one."""


def read_day(text: str, order: str = "") -> datetime.date:
    """The day written in ``text``. ``order`` says which comes first in 3/4/2024: day or month.

    Years have four figures. DayError for anything else, with a sentence.
    """
    if match := _ISO.fullmatch(text):
        year, month, day = match.groups()
    elif match := _DOTTED.fullmatch(text):
        day, month, year = match.groups()
    elif match := _SLASHED.fullmatch(text):
        if not order:
            raise DayError(f"Nobody said whether day or month comes first: {LIKE}.")
        first, second, year = match.groups()
        day, month = (first, second) if order == DAY_FIRST else (second, first)
    elif (match := _NAMED.fullmatch(text)) and (named := _month(match[2])):
        day, month, year = match[1], str(named), match[3]
    else:
        raise DayError(f"That is no day: {LIKE}.")
    try:
        return datetime.date(int(year), int(month), int(day))
    except ValueError as error:
        raise DayError(f"There is no such day in the calendar: {LIKE}.") from error


def orders_that_fit(texts: Iterable[str]) -> tuple[str, ...]:
    """Which orders make a day of every 3/4/2024 among ``texts``; nothing when there is none.

    Both: it must be asked. Neither fits: both are given, and what does not fit is found by row.
    """
    slashed = {text for text in texts if _SLASHED.fullmatch(text)}
    if not slashed:
        return ()
    fitting = tuple(order for order in ORDERS if all(_is_day(text, order) for text in slashed))
    return fitting or ORDERS


def _is_day(text: str, order: str) -> bool:
    try:
        read_day(text, order)
    except DayError:
        return False
    return True


def _month(name: str) -> int:
    """1 to 12 for a month's English name or its beginning of three letters or more, else 0."""
    low = name.lower()
    return next((at for at, full in enumerate(_MONTHS, 1) if full.startswith(low)), 0)
