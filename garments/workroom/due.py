"""When a ticket is due, as a proposal: the fitter decides. No query, no clock."""

import datetime

WORKDAYS_ASKED = 3  # what a bench is usually given for one ticket; common practice, no source
SATURDAY = 5


def suggest_due(today: datetime.date, promised_on: datetime.date | None) -> datetime.date:
    """The third workday (Monday to Friday) after ``today``, or the promised day if that is sooner.

    A promise already broken has nothing to say about it.
    """
    day, left = today, WORKDAYS_ASKED
    while left:
        day += datetime.timedelta(days=1)
        left -= day.weekday() < SATURDAY
    return min(day, promised_on) if promised_on and promised_on >= today else day
