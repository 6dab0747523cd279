"""All that is held of a customer in one zip file: a page to read, the same as data, photographs.

`index.html` needs nothing but a browser; `data.json` holds the same rows for a program. Keys of
the catalogue stand as words; what only the program uses (its own ids) is left out.
"""

import contextlib
import datetime
import json
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import IO, Any, Final

from django.contrib.auth.models import User
from django.db import models
from django.template.loader import render_to_string
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.lengths import Length
from customers.models import Customer, House
from customers.people import name_of
from customers.points import BY_KEY
from customers.queries import unit_of
from fittings.folios.wording import alteration_text, cause_name, observation_text
from fittings.housebook.queries import house_catalogue, one_book
from fittings.models import Booking, Fitting, Observation, Photograph, Seen
from fittings.privacy.audit import page_name
from fittings.privacy.holdings import HOLDINGS, Holding
from garments.models import Alteration, TicketRevision

# Columns that say nothing to the person: ids, and what the program keeps for itself.
LEFT_OUT: Final = frozenset(
    {
        "id",
        "form_id",
        "serial",
        "version",
        "strikes",
        "asked",
        "booking_version",
        "occasion",
        "claim",
        "claimed_at",
        "next_try_at",
        "tries",
        "image",
        "thumbnail",
        "search_name",
        "search_phone",
        "customer",
    }
)
KEYS: Final = frozenset({"zone", "fault", "operation", "seam", "test", "line", "cloth_pattern"})
# What a row is told by may itself belong to another: that is asked with it.
FARTHER: Final = {
    "alteration": "alteration__garment",
    "observation": "observation__garment",
    "revision": "revision__ticket",
}
DETAILS: Final = (
    "number",
    "title",
    "given_name",
    "family_name",
    "phone",
    "email",
    "town",
    "unit",
    "notes",
    "created_at",
)


@dataclass(frozen=True, slots=True)
class Section:
    """One kind of thing held, as a table of words."""

    label: str
    heads: list[str]
    rows: list[list[str]]


def write_export(to: IO[bytes], customer: Customer, now: datetime.datetime) -> None:
    """The whole file, written to ``to``. A fixed number of queries, whatever is held."""
    taken = Photograph.objects.filter(customer=customer, void=False, deletion__isnull=True)
    pictures = {
        f"photographs/{place:03}-{timezone.localtime(row.at):%Y-%m-%d}.jpg": row
        for place, row in enumerate(taken.order_by("at", "pk"), start=1)
    }
    with one_book():
        sections = list(sections_of(customer))
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as file:
        there = {name: row for name, row in pictures.items() if _add(file, name, row)}
        context = {
            "customer": customer,
            "house": House.get(),
            "now": now,
            "sections": sections,
            "pictures": there,
        }
        file.writestr("index.html", render_to_string("privacy/export.html", context))
        data = {
            row.label: [dict(zip(row.heads, line, strict=True)) for line in row.rows]
            for row in sections
        }
        file.writestr("data.json", json.dumps(data, ensure_ascii=False, indent=1))


def sections_of(customer: Customer) -> Iterator[Section]:
    """Everything held, kind by kind; kinds of which nothing is held are left out."""
    unit = unit_of(customer)
    people = {user.pk: name_of(user) for user in User.objects.all()}
    details = [
        [_head(customer._meta.get_field(name)), _cell(customer, name, unit, people)]
        for name in DETAILS
    ]
    yield Section("Details", ["What", "As kept"], details)
    for holding in HOLDINGS:
        section = _section(holding, customer, unit, people)
        if section.rows:
            yield section
    looks = Seen.objects.filter(customer=customer.pk, refused=False).order_by("at", "pk")
    seen = [
        [_text(at, unit), people.get(by, ""), page_name(page)]
        for at, by, page in looks.values_list("at", "by", "page")
    ]
    yield Section("Who has looked at pages about you, in the last year", ["At", "By", "Page"], seen)


def _section(holding: Holding, customer: Customer, unit: str, people: Mapping[int, str]) -> Section:
    fields = [
        field
        for field in holding.model._meta.concrete_fields
        if field.name not in LEFT_OUT and not isinstance(field, models.JSONField | models.UUIDField)
    ]
    related = [FARTHER.get(row.name, row.name) for row in fields if _leads_elsewhere(row)]
    rows = holding.of(customer).select_related(*related)
    if issubclass(holding.model, LedgerEntry):
        rows = rows.order_by("at", "pk")
    lines = [[_cell(row, field.name, unit, people) for field in fields] for row in rows]
    return Section(holding.label, [_head(field) for field in fields], lines)


def _leads_elsewhere(field: Any) -> bool:
    return isinstance(field, models.ForeignKey) and field.related_model is not User


def _head(field: Any) -> str:
    names = {"void": "taken back", "at": "entered", "by": "entered by"}
    name = names.get(field.name, str(field.verbose_name))
    return name[:1].upper() + name[1:]


def _cell(row: Any, name: str, unit: str, people: Mapping[int, str]) -> str:
    field = row._meta.get_field(name)
    if isinstance(field, models.ForeignKey) and field.related_model is User:
        return people.get(getattr(row, field.attname), "")
    if field.choices:
        return str(getattr(row, f"get_{name}_display")())
    value = getattr(row, name)
    if isinstance(value, models.Model):
        return _told(value, unit)
    return _worded(name, value) if isinstance(value, str) else _text(value, unit)


def _told(row: models.Model, unit: str) -> str:
    """Another row that this one is about, as its own table tells it: on the house's clock."""
    match row:
        case Alteration():
            return alteration_text(row, row.garment.kind, unit)
        case Observation():
            return observation_text(row, row.garment.kind, unit)
        case TicketRevision():
            return f"{row.ticket}, revision {row.revision}"
        case Booking():
            return f"{row.get_purpose_display()}, {_text(row.starts_at, unit)}"
        case Fitting():
            return f"{row.get_purpose_display()}, {_text(row.started_at, unit)}"
    return str(row)


def _worded(name: str, value: str) -> str:
    """A key of the catalogue in its own words, anything else as it is."""
    if name == "fault" and value:
        with contextlib.suppress(KeyError):
            return house_catalogue().fault(value).label
    if name == "cause" and value:
        return cause_name(value)
    if name == "point":
        return BY_KEY[value].name if value in BY_KEY else value.replace("-", " ")
    return value.replace("-", " ") if name in KEYS else value


def _text(value: Any, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Length):
        return value.text(unit)
    if isinstance(value, datetime.datetime):
        return f"{timezone.localtime(value):%d %B %Y, %H:%M}"
    if isinstance(value, datetime.date):
        return f"{value:%d %B %Y}"
    return "" if value is None else str(value)


def _add(file: zipfile.ZipFile, name: str, photograph: Photograph) -> bool:
    """Put a photograph into the file; False where its own file is lost."""
    try:
        with photograph.image.open() as picture:
            file.writestr(name, picture.read(), zipfile.ZIP_STORED)
    except FileNotFoundError:
        return False
    return True
