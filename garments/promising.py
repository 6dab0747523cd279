"""A word on the day promised for a garment, new or in work, from whoever plans the work.

What is booked and who makes is known only further up (``fittings``), so the plan is registered
here when the program starts, and this app never asks who answers.
"""

import datetime
from collections.abc import Callable

Doubt = Callable[[str, datetime.date, str], str]
_doubts: dict[str, Doubt] = {}


def register(name: str, doubt: Doubt) -> None:
    """``doubt`` says of a kind of garment and a day why it should not be promised, or nothing.

    Last it is given the number of a garment whose promise moves to that day, empty for a new one.
    """
    _doubts[name] = doubt


def doubts(kind: str, day: datetime.date, number: str = "") -> list[str]:
    """Why that day should not be promised; empty when nobody says so."""
    return list(filter(None, (doubt(kind, day, number) for doubt in _doubts.values())))
