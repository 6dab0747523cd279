"""Reads about lists: what waits, what was brought in, and a row in words."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.utils import timezone

from fittings.bringing import kept
from fittings.bringing.services import KEPT_FOR
from fittings.bringing.standing import Fate, Fates
from fittings.lists import Plan
from fittings.models import Import, Upload, UploadRow

ON_A_PAGE = 25
MOST_FINDINGS = 500  # shown at once; a list with more has something wrong with a whole column
SHOWN = {
    "all": "all rows",
    "asks": "perhaps known",
    "wrong": "something wrong",
    "doubt": "unlikely measures",
}


@dataclass(frozen=True)
class Line:
    """A row of the list in words: who, what becomes of them, and what comes with them."""

    row: UploadRow
    plan: Plan
    fate: Fate

    @property
    def name(self) -> str:
        person = self.plan.person
        parts = (person.title, person.given_name, person.family_name)
        return " ".join(part for part in parts if part) or self.plan.number

    @property
    def becomes(self) -> str:
        if self.fate.out:
            return "left out"
        if self.row.outcome == UploadRow.Outcome.WRONG:
            return "something is wrong"
        if self.fate.waits:
            return "waits for your choice" if self.fate.waits == "asks" else "waits for row above"
        if self.fate.leader == self.row.row:
            return "new customer"
        if self.fate.customer is not None:
            return "joins a customer of the ledger"
        return f"same customer as row {self.fate.leader}"

    @property
    def tone(self) -> str:
        if self.fate.out:
            return ""
        if self.fate.waits:
            return "bad" if self.row.outcome == UploadRow.Outcome.WRONG else "warn"
        return "good" if self.fate.leader == self.row.row else "chalk"


def uploads() -> QuerySet[Upload]:
    """Lists not brought in yet, without their bytes; those left lying too long are none."""
    since: datetime.datetime = timezone.now() - KEPT_FOR
    return Upload.objects.filter(at__gt=since).select_related("by").defer("content")


def imports() -> QuerySet[Import]:
    """What was brought in, newest first, with who took it back."""
    rows = Import.objects.filter(void=False).select_related("by", "struck_by__by")
    return rows.order_by("-at")


def rows_to_show(upload: Upload, show: str) -> QuerySet[UploadRow]:
    rows = upload.rows_read.order_by("row")
    if show in {"asks", "wrong"}:
        return rows.filter(outcome=show)
    if show == "doubt":
        return rows.filter(doubts__gt=0)
    return rows


def page_of(upload: Upload, show: str, number: str | None) -> Page[UploadRow]:
    return Paginator(rows_to_show(upload, show), ON_A_PAGE).get_page(number)


def lines_of(rows: Iterable[UploadRow], fates: Fates) -> list[Line]:
    return [
        Line(row, kept.plan_again(row.row, row.plan), fates.by_row.get(row.row, Fate()))
        for row in rows
    ]


def findings_of(upload: Upload) -> list[dict[str, Any]]:
    """What is wrong, in the order of the file, ``MOST_FINDINGS`` at most."""
    found: list[dict[str, Any]] = []
    wrong = upload.rows_read.filter(outcome=UploadRow.Outcome.WRONG).exclude(choice="out")
    for findings in wrong.order_by("row").values_list("findings", flat=True)[:MOST_FINDINGS]:
        found += findings
    return found[:MOST_FINDINGS]
