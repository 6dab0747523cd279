"""Days in words, as the house speaks of them in sentences and letters."""

import datetime


def date_text(day: datetime.date) -> str:
    """A day of any year: 25 November 2026."""
    return f"{day.day} {day:%B} {day.year}"


def weekday_text(day: datetime.date) -> str:
    """A day within the year: Wednesday 25 November."""
    return f"{day:%A} {day.day} {day:%B}"
