"""Where the garments behind a figure stand: the question goes with the address."""

import datetime
from dataclasses import replace
from functools import cache
from urllib.parse import urlencode

from django.urls import reverse

from fittings.review.asking import TIMES, Asked, By, Group, key_of, months_on
from fittings.review.measures import Measure


def behind(measure: Measure, asked: Asked, **more: str) -> str:
    """The address of the garments that one rate counts."""
    return _with(_page("review:behind_page", measure.key), asked, more)


def behind_row(sheet: str, asked: Asked, row: str, other: str = "") -> str:
    """The address of the garments behind a row of any other table."""
    return _with(_page("review:row_page", sheet), asked, {"row": row, "other": other})


def behind_group(measure: Measure, asked: Asked, group: Group) -> str:
    """The same for a row of the review; a month or a quarter is asked for by its days."""
    if asked.by in TIMES and isinstance(group, datetime.date):
        return behind(measure, within(asked, group, 3 if asked.by is By.QUARTER else 1))
    return behind(measure, asked, group=key_of(group))


def within(asked: Asked, first: datetime.date, months: int = 1) -> Asked:
    """So many months from ``first`` on, as far as they were asked about."""
    last = months_on(first, months) - datetime.timedelta(days=1)
    return replace(asked, since=max(first, asked.since), until=min(last, asked.until))


@cache
def _page(name: str, key: str) -> str:
    """Found once: a page of the review has hundreds of such addresses."""
    return reverse(name, args=[key])


def _with(page: str, asked: Asked, more: dict[str, str]) -> str:
    given = {
        "since": asked.since.isoformat(),
        "until": asked.until.isoformat(),
        "by": asked.by.value,
        "kind": asked.kind,
        "cutter": asked.cutter.get_username() if asked.cutter else "",
        "cut": str(asked.cut.pk) if asked.cut else "",
        **more,
    }
    return f"{page}?{urlencode({name: value for name, value in given.items() if value})}"
