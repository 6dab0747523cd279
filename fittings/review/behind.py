"""The garments behind a figure: who clicks on a point sees what it is made of."""

import datetime
from dataclasses import dataclass, replace
from typing import Any

from django.core.paginator import Page

from fittings.review.asking import TIMES, Asked, By, Group, key_of
from fittings.review.facts import garments_behind, monthly
from fittings.review.labels import name_groups
from fittings.review.measures import Measure
from fittings.review.paging import fetch_page
from garments.models import Garment


@dataclass(frozen=True, slots=True)
class Behind:
    """Garments with whether they count above the line, newest first; ``all`` of them.

    ``shown`` are those of the ``page`` asked for.
    """

    group: str
    page: Page[Any]
    shown: list[tuple[Garment, bool]]
    all: int
    hits: int


class UnknownGroupError(ValueError):
    """The address names a group that has nothing in these days."""


def behind_figure(
    measure: Measure,
    asked: Asked,
    now: datetime.datetime,
    group: str | None,
    number: str | None = None,
) -> Behind:
    """The garments counted, perhaps of the group that the address names; a page of that number.

    Raises UnknownGroupError. A page there is none of is the nearest there is.
    """
    if group is None or asked.by in TIMES:
        # By fault a garment without one would be left out.
        name, found = "", garments_behind(measure.key, replace(asked, by=By.KIND), now)
    else:
        key = _group_named(measure, asked, now, group)
        name = name_groups(asked.by, [key])[key]
        found = garments_behind(measure.key, asked, now, group=key)
    paged = fetch_page(found, asked, number)
    shown = [(garment, bool(hit)) for garment, hit in paged.rows]
    return Behind(name, paged.page, shown, paged.all, int(paged.whole))


def _group_named(measure: Measure, asked: Asked, now: datetime.datetime, group: str) -> Group:
    groups = {key_of(found): found for found, _ in monthly(measure, asked, now)}
    if group not in groups:
        raise UnknownGroupError(group)
    return groups[group]
