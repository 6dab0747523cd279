"""Who saw and who changed what, of one customer and of the house: for the owner.

What was changed is asked of the ledger itself: every entry says who and when. Which tables those
are is `holdings.HOLDINGS` for customers and `OF_THE_HOUSE` for the rest; one statement asks all.
"""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from django.contrib.auth.models import User
from django.core.paginator import Page, Paginator
from django.db.models import BigIntegerField, CharField, F, Model, QuerySet, Value

from customers.ledger import LedgerEntry
from customers.models import Changed, Customer
from customers.people import name_of
from fittings.clock import midnight
from fittings.models import (
    Absence,
    AgreedOvertime,
    CatalogueEntry,
    Closure,
    Erasure,
    FeedKey,
    HolidayRule,
    Import,
    MessageEvent,
    OpeningHours,
    PersonChange,
    RetentionRule,
    Seen,
    StageTime,
    Trip,
    TripCalledOff,
    Wording,
)
from fittings.privacy.holdings import HOLDINGS
from garments.models import BenchHours

PAGE: Final = 50
DAY: Final = datetime.timedelta(days=1)
# Entries about nobody: who sets how the house works.
OF_THE_HOUSE: Final[dict[type[LedgerEntry], str]] = {
    PersonChange: "People of the house",
    OpeningHours: "Opening hours",
    Closure: "Closed days",
    Absence: "Days away",
    HolidayRule: "Public holidays",
    StageTime: "Times of stages",
    AgreedOvertime: "Overtime",
    BenchHours: "Hours of the bench",
    CatalogueEntry: "The catalogue",
    Wording: "Words of messages",
    FeedKey: "Addresses of calendars",
    Import: "Lists brought in",
    Trip: "Trips to another town",
    TripCalledOff: "Trips called off",
    RetentionRule: "How long things are kept",
}
# Entries that tell in words what was changed, and in which column.
SAID: Final[dict[type[Model], str]] = {Changed: "columns", PersonChange: "said"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the owner asks: whose, by whom, from which day to which, both counted."""

    since: datetime.date
    until: datetime.date
    customer: Customer | None = None
    by: User | None = None
    refused: bool = False

    @property
    def span(self) -> tuple[datetime.datetime, datetime.datetime]:
        return midnight(self.since), midnight(self.until + DAY)


@dataclass(frozen=True, slots=True)
class Line:
    """One line: when, who, what, and the customer it was about, where there is one."""

    at: datetime.datetime
    by: str
    what: str
    customer: Customer | None
    odd: bool


def seen(asked: Asked, page: str | None) -> tuple[Page[Any], list[Line]]:
    """Who opened what, newest first. Four queries."""
    begins, ends = asked.span
    rows = Seen.objects.filter(at__gte=begins, at__lt=ends)
    if asked.customer:
        rows = rows.filter(customer=asked.customer.pk)
    if asked.by:
        rows = rows.filter(by=asked.by)
    if asked.refused:
        rows = rows.filter(refused=True)
    ordered = rows.order_by("-at", "-pk")
    shown = Paginator(ordered.values_list("at", "by", "page", "customer", "refused"), PAGE)
    return _lines(shown.get_page(page), page_name)


def changed(asked: Asked, page: str | None) -> tuple[Page[Any], list[Line]]:
    """Who entered, changed or took back what, newest first. Four queries."""
    first, *others = _legs(asked)
    union = first.union(*others, all=True).order_by("-at")
    return _lines(Paginator(union, PAGE).get_page(page), str)


def page_name(page: str) -> str:
    """What a page is called in the audit: its name in the house's table, in words."""
    room, _, name = page.partition(":")
    return f"{room}: {name.replace('_', ' ')}"


def _legs(asked: Asked) -> Iterator[QuerySet[Any, Any]]:
    for holding in HOLDINGS:
        model = holding.model
        if issubclass(model, LedgerEntry) or model is MessageEvent:
            yield _leg(model, holding.label, asked, holding.path)
    yield _leg(Erasure, "Erased", asked, "customer")
    if asked.customer is None:
        for model, label in OF_THE_HOUSE.items():
            yield _leg(model, label, asked, "")


def _leg(model: type[Model], label: str, asked: Asked, path: str) -> QuerySet[Any, Any]:
    begins, ends = asked.span
    rows = model._default_manager.filter(at__gte=begins, at__lt=ends).order_by()
    if asked.customer:
        rows = rows.filter(**{path: asked.customer})
    if asked.by:
        rows = rows.filter(by=asked.by)
    whose = F(path) if path else Value(None, output_field=BigIntegerField(null=True))
    void = F("void") if issubclass(model, LedgerEntry) else Value(value=False)
    said = SAID.get(model)
    told = F(said) if said else Value("", output_field=CharField())
    return rows.values_list(
        "at",
        "by",
        Value(label, output_field=CharField()),
        whose,
        void,
        told,
    )


def _lines(shown: Page[Any], name: Any) -> tuple[Page[Any], list[Line]]:
    rows = [(*row, "")[:6] for row in shown.object_list]
    people = User.objects.in_bulk({row[1] for row in rows})
    customers = Customer.objects.in_bulk({row[3] for row in rows if row[3]})
    lines = [
        Line(
            at=at,
            by=name_of(people.get(by)) or "the timer",
            what=f"{name(what)} ({told})" if told else name(what),
            customer=customers.get(whose),
            odd=bool(odd),
        )
        for at, by, what, whose, odd, told in rows
    ]
    return shown, lines
