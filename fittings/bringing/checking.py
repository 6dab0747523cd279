"""The next rows of a list: read, held against the ledger's own rules, their people placed."""

import datetime
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from customers.models import Customer, House, MeasurementSet
from customers.people import name_of
from customers.searching import fold
from customers.services import OLDEST_ENTRY
from fittings.bringing import kept
from fittings.lists import (
    MEANINGS,
    Column,
    Facts,
    Finding,
    Index,
    Known,
    Plan,
    Standing,
    place,
    read_row,
)
from fittings.lists.people import phone_end
from fittings.lists.rows import LONGEST_SHOWN, PERSON_FIELDS, Named
from fittings.models import Upload, UploadRow
from garments.models import Garment
from garments.queries import cutters, newest_versions
from garments.services import FURTHEST_PROMISE

Outcome = UploadRow.Outcome
# The field of a model whose rules hold for a column, where the column has another name.
_OF_SET = {"note": "set_note"}
_OF_ORDER = {"cloth": "cloth", "notes": "order_notes"}


@dataclass
class Check:
    """What rows are held against: facts, the ledger's people, the people of the rows above."""

    facts: Facts
    columns: tuple[Column, ...]
    ledger: Index
    earlier: Index
    seen: dict[str, int]

    def headed(self, means: str) -> str:
        own = (column.heading for column in self.columns if column.means == means)
        return next(own, MEANINGS[means].name)


def check_of(upload: Upload) -> Check:
    """Everything the next rows of ``upload`` are held against, in a constant number of queries."""
    known = upload.rows_read.values_list("row", "digest", "first", "known")
    earlier, seen = Index(), {}
    for row, digest, first, someone in known:
        seen[digest] = row
        if first is None:
            earlier.add(kept.known_again(someone))
    columns = kept.columns_again(upload.columns)
    return Check(_facts(upload), columns, Index(ledger_people()), earlier, seen)


def ledger_people() -> Iterator[Known]:
    """Everyone the ledger knows, as far as it takes to tell them apart. One query."""
    fields = ("pk", "number", "given_name", "family_name", "phone", "email")
    for pk, number, given, family, phone, email in Customer.objects.values_list(*fields):
        yield Known(
            name=fold(f"{given} {family}"),
            phone=phone_end(phone),
            email=email.casefold(),
            shown=f"{given} {family}".strip(),
            pk=pk,
            number=number,
        )


def check_rows(
    upload: Upload, rows: Iterable[tuple[int, Sequence[str]]], check: Check
) -> list[UploadRow]:
    """The rows as read, not kept yet; each is known to the next."""
    return [_checked(upload, row, cells, check) for row, cells in rows]


def _facts(upload: Upload) -> Facts:
    today = timezone.localdate()
    cuts: dict[str, dict[str, Named]] = {}
    for version in newest_versions():
        name = version.cut.name
        cuts.setdefault(version.cut.kind, {})[fold(name)] = Named(name, version.pk)
    answers = upload.answers
    day = answers.get("taken_on")
    return Facts(
        today=today,
        oldest=today - OLDEST_ENTRY,
        furthest=today + FURTHEST_PROMISE,
        cuts=cuts,
        people=_by_name(User.objects.filter(is_active=True)),
        cutters=_by_name(cutters()),
        unit=answers.get("unit") or House.get().unit,
        day_order=answers.get("day_order", ""),
        taken_on=datetime.date.fromisoformat(day) if day else None,
        cutter=answers.get("cutter"),
    )


def _by_name(people: Iterable[User]) -> dict[str, Named]:
    """By what they are called; two of one name are found by neither."""
    found: dict[str, Named] = {}
    twice: set[str] = set()
    for person in people:
        name = fold(name_of(person))
        twice |= {name} & set(found)
        found[name] = Named(name_of(person), person.pk)
    return {name: row for name, row in found.items() if name not in twice}


def _checked(upload: Upload, row: int, cells: Sequence[str], check: Check) -> UploadRow:
    plan, findings = read_row(row, cells, check.columns, check.facts)
    standing = place(plan, check.ledger, check.earlier)
    findings = [
        finding for finding in findings if not (standing.same and finding.kind == "no name")
    ]
    digest = hashlib.sha256("\x1f".join(cells).encode()).hexdigest()[:32]
    findings += _found_by_the_ledger(plan, standing, check)
    if digest in check.seen:
        same = f"The same as row {check.seen[digest]}, cell for cell: leave one of them out."
        findings.append(Finding(row, "the whole row", cells[0][:LONGEST_SHOWN], "repeated", same))
    known, same_as = Known.of_plan(plan), standing.same
    first = same_as.row if same_as else None
    check.seen.setdefault(digest, row)
    if first is None:
        check.earlier.add(known)
    return UploadRow(
        upload=upload,
        row=row,
        outcome=_outcome(standing, findings),
        plan=kept.kept_plan(plan),
        findings=[kept.kept_finding(finding) for finding in findings],
        known=kept.kept_known(known),
        proposals=[kept.kept_proposal(proposal) for proposal in standing.perhaps],
        customer=same_as.pk if same_as else None,
        first=first,
        digest=digest,
        measures=len(plan.taken.measures) if plan.taken else 0,
        ordered=plan.order is not None,
        doubts=len(plan.doubts),
        found=len(findings),
    )


def _outcome(standing: Standing, findings: list[Finding]) -> str:
    if findings:
        return Outcome.WRONG
    if standing.same:
        return Outcome.JOINS if standing.same.pk else Outcome.AGAIN
    return Outcome.ASKS if standing.perhaps else Outcome.NEW


def _found_by_the_ledger(plan: Plan, standing: Standing, check: Check) -> list[Finding]:
    """What the fields of the ledger refuse, and what does not fit the person the row is for."""
    found = list(_refused(plan, check))
    name, same = fold(f"{plan.person.given_name} {plan.person.family_name}"), standing.same

    def find(means: str, shown: str, kind: str, says: str) -> None:
        found.append(Finding(plan.row, check.headed(means), shown[:LONGEST_SHOWN], kind, says))

    if plan.number and same is None:
        find("number", plan.number, "unknown number", "No customer of the ledger has that number.")
    elif same and name and name != same.name:
        who = same.number or f"row {same.row}"
        says = f"{who} is {same.shown}: the number is wrong, or the name."
        find("family_name", plan.person.family_name, "other name", says)
    return found


def _refused(plan: Plan, check: Check) -> Iterator[Finding]:
    person = plan.person
    values = {name: getattr(person, name) for name in PERSON_FIELDS} | {"notes": plan.notes}
    customer = Customer(**values | {"family_name": person.family_name or "x"})
    yield from _said(plan.row, customer, {name: name for name in values}, check)
    if plan.taken:
        yield from _said(plan.row, MeasurementSet(note=plan.taken.note), _OF_SET, check)
    if plan.order:
        garment = Garment(cloth=plan.order.cloth, notes=plan.order.notes)
        yield from _said(plan.row, garment, _OF_ORDER, check)


def _said(row: int, made: models.Model, fields: dict[str, str], check: Check) -> Iterator[Finding]:
    """A finding for each of ``fields`` of the model that refuses what it holds."""
    for name, means in fields.items():
        value = getattr(made, name)
        says = _refusal(made, name, value) if value else ""
        if says:
            kind = f"{means} refused"
            yield Finding(row, check.headed(means), value[:LONGEST_SHOWN], kind, says)


def _refusal(made: models.Model, name: str, value: str) -> str:
    field: Any = made._meta.get_field(name)
    # A text column has no validator of its own for the length that its form allows.
    if field.max_length and len(value) > field.max_length:
        return f"At most {field.max_length} characters; these are {len(value)}."
    try:
        field.clean(value, made)
    except ValidationError as error:
        return " ".join(error.messages)
    return ""
