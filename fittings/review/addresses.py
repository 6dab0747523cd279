"""Where the garments behind a figure stand: the question goes with the address."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from urllib.parse import quote, urlencode

from django.urls import reverse

from fittings.review.asking import TIMES, Asked, By, Group, key_of, months_on
from fittings.review.measures import Measure


def behind(measure: Measure, asked: Asked, **more: str) -> str:
    """The address of the garments that one rate counts."""
    return _with(_page("review:behind_page", measure.key), asked, more)


def behind_part(measure: Measure, asked: Asked, first: datetime.date, months: int = 1) -> str:
    """The same for so many months of the days asked about, which stay there for the way back."""
    last = months_on(first, months) - datetime.timedelta(days=1)
    part = part_of(asked, first, last)
    return behind(measure, asked, first=part.since.isoformat(), last=part.until.isoformat())


def behind_months(measure: Measure, asked: Asked) -> list[str]:
    """The same for each month asked about."""
    return [behind_part(measure, asked, month) for month in asked.months]


def part_of(asked: Asked, first: datetime.date, last: datetime.date) -> Asked:
    """The days from ``first`` to ``last``, as far as they were asked about."""
    return replace(asked, since=max(first, asked.since), until=min(last, asked.until))


def behind_rows(sheet: str, asked: Asked, rows: Iterable[str]) -> list[str]:
    """The addresses of the garments behind rows of any other table."""
    page = _with(_page("review:row_page", sheet), asked, {})
    return [f"{page}&row={quote(row)}" for row in rows]


def behind_pairs(sheet: str, asked: Asked, pairs: Sequence[tuple[str, str]]) -> list[str]:
    """The same for rows that name two."""
    firsts, others = zip(*pairs, strict=True) if pairs else ((), ())
    rows = behind_rows(sheet, asked, firsts)
    return [f"{row}&other={quote(other)}" for row, other in zip(rows, others, strict=True)]


def behind_row(sheet: str, asked: Asked, row: str) -> str:
    """The same for one row."""
    (address,) = behind_rows(sheet, asked, [row])
    return address


def behind_groups(measure: Measure, asked: Asked, groups: Iterable[Group]) -> list[str]:
    """The same for rows of the review; a month or a quarter is asked for by its days."""
    if asked.by in TIMES:
        months = 3 if asked.by is By.QUARTER else 1
        days = [group for group in groups if isinstance(group, datetime.date)]
        return [behind_part(measure, asked, first, months) for first in days]
    page = behind(measure, asked)
    return [f"{page}&group={quote(key_of(group))}" for group in groups]


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
