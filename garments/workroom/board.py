"""What the workroom's list and its wall show besides the tickets, and whether it has changed."""

import datetime
import hashlib
import uuid
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Count, Exists, OuterRef, Subquery
from django.db.models.functions import Coalesce

from customers.ledger import LedgerQuerySet, already_kept
from customers.models import House
from customers.people import name_of
from garments import seams
from garments.models import WEEKDAYS, Answer, BenchHours, TicketLine
from garments.workroom.load import Load, Owed, told, weigh
from garments.workroom.queries import (
    ANSWERS,
    STANDING_LINES,
    State,
    hand_of,
    unfinished,
)

LINES = 7  # what fits on the wall's screen, headings counted: see static/css/workroom.css


@dataclass(frozen=True, slots=True)
class Held:
    """What one person has in hand: a count of tickets and their minutes. Nobody: no name."""

    username: str
    name: str
    tickets: int
    minutes: int

    @property
    def words(self) -> str:
        return told(self.minutes)


@dataclass(frozen=True, slots=True)
class Board:
    """All that is owed: the load of the days, who has what, the operations on it.

    ``minutes`` are those of each ticket, by the pk of its newest revision.
    """

    load: Load
    held: tuple[Held, ...]
    operations: tuple[str, ...]
    minutes: Mapping[uuid.UUID, int]

    def words(self, revision: uuid.UUID) -> str:
        """The work of one ticket; empty when nothing of it is owed."""
        return told(self.minutes[revision]) if revision in self.minutes else ""


def bench_minutes() -> Callable[[datetime.date], int] | None:
    """The bench's minutes of a day, all hands together; None while the owner has not said.

    The one place the workroom takes them from.
    """
    hours = bench_hours()
    return hours.minutes if hours else None


def bench_hours() -> BenchHours | None:
    """The newest entry, which holds."""
    return _newest_hours().first()


def _newest_hours() -> LedgerQuerySet[BenchHours]:
    return BenchHours.objects.standing().order_by("-at", "-pk")


@transaction.atomic
def set_bench_hours(*, entry_id: uuid.UUID, week: Sequence[int], by: User) -> BenchHours:
    """Enter the bench's minutes from Monday to Sunday. Sent twice it is kept once.

    ValidationError keyed by weekday for more than forty pairs of hands have; or when the page
    that was sent before comes again with other hours.
    """
    # Two sendings of one form wait here for each other, where the database lets two write at once.
    House.take_turns()
    if kept := already_kept(BenchHours, entry_id, by):
        if kept.week != tuple(week):
            raise ValidationError({"entry_id": "This page was already used: open it again."})
        return kept
    row = BenchHours(id=entry_id, by=by, **dict(zip(WEEKDAYS, week, strict=True)))
    row.clean_fields(exclude={"by", "strikes"})
    row.save(force_insert=True)
    return row


def takers() -> dict[int, User]:
    """Everyone who ever took a ticket in hand, by pk, in the order of names."""
    took = Answer.objects.filter(by=OuterRef("pk"), kind=Answer.Kind.TAKEN)
    people = User.objects.filter(Exists(took)).order_by("first_name", "last_name", "username")
    return {person.pk: person for person in people}


def read_board(people: Mapping[int, User], today: datetime.date) -> Board:
    """Of everything owed, whatever the list shows. Two queries, whatever the data."""
    lines = (
        TicketLine.objects.filter(revision__in=unfinished(), alteration__struck_by__isnull=True)
        .annotate(hand=hand_of("revision"))
        .order_by("revision__due_on", "revision", "position")
        .values_list(
            "revision",
            "revision__due_on",
            "hand",
            "alteration__operation",
            "alteration__amount",
            "alteration__side",
        )
    )
    owed: list[Owed] = []
    held: dict[int | None, list[int]] = defaultdict(list)
    operations: dict[str, None] = {}
    by_ticket: dict[uuid.UUID, int] = {}
    for (revision, due_on, hand), rows in groupby(lines, key=lambda row: row[:3]):
        minutes = 0
        for *_, operation, amount, side in rows:
            minutes += seams.operation(operation).minutes(amount, side)
            operations[operation] = None
        owed.append(Owed(due_on, minutes))
        held[hand].append(minutes)
        by_ticket[revision] = minutes
    load = weigh(owed, bench_minutes(), today)
    return Board(load, _held(held, people), tuple(operations), by_ticket)


def _held(held: Mapping[int | None, list[int]], people: Mapping[int, User]) -> tuple[Held, ...]:
    """In the order of names, nobody last."""
    rows = [
        Held(person.username, name_of(person), len(held[pk]), sum(held[pk]))
        for pk, person in people.items()
        if pk in held
    ]
    if None in held:
        rows.append(Held("", "", len(held[None]), sum(held[None])))
    return tuple(rows)


def stamp(
    shown: LedgerQuerySet[Any] | None, seen_by: User, asked: Iterable[str], today: datetime.date
) -> str:
    """A short text that is another as soon as the list would show anything else.

    Found without reading a line of any ticket: of every ticket owed its revision, its newest
    answer, how many lines stand and whose it is; ``shown`` are those asked for that are over.
    With the bench's hours, the day, who looks and what was ``asked`` for. Two or three queries.
    """
    facts: list[Any] = [today, seen_by.pk, *asked]
    facts.append(_newest_hours().values_list("pk").first())
    facts += _facts(unfinished())
    if shown is not None:
        facts += _facts(shown)
    return hashlib.sha256(repr(facts).encode()).hexdigest()[:24]


def _facts(rows: LedgerQuerySet[Any]) -> list[tuple[Any, ...]]:
    standing = STANDING_LINES.order_by().values("revision").annotate(n=Count("pk")).values("n")
    return list(
        rows.annotate(
            newest=Subquery(ANSWERS.values("pk")[:1]), stand=Coalesce(Subquery(standing), 0)
        )
        .order_by("pk")
        .values_list("pk", "newest", "stand", "ticket__garment__customer__family_name")
    )


@dataclass(frozen=True, slots=True)
class WallRow:
    """A ticket on the wall: its number, whose it is, and who has it or how far it is."""

    number: str
    family_name: str
    who: str
    state: str


# What stands on the wall in place of a name.
_SAID = {
    State.ISSUED: "",
    State.ASKS: "asks",
    State.SENT_BACK: "back",
    State.REPLIED: "answered",
}


def wall_groups(
    rows: Iterable[Any], people: Mapping[int, User], today: datetime.date
) -> list[tuple[str, list[WallRow]]]:
    """What is most urgent under ``late``, ``today`` or its weekday, as far as the screen reaches.

    A heading takes a line as a ticket does, and is never the last one.
    """
    groups: list[tuple[str, list[WallRow]]] = []
    left = LINES
    for row in rows:
        heading = _heading(row.due_on, today)
        new = not groups or groups[-1][0] != heading
        left -= 2 if new else 1
        if left < 0:
            break
        if new:
            groups.append((heading, []))
        groups[-1][1].append(_wall_row(row, people))
    return groups


def _heading(due_on: datetime.date, today: datetime.date) -> str:
    if due_on < today:
        return "late"
    return "today" if due_on == today else f"{due_on:%A %-d}"


def _wall_row(row: Any, people: Mapping[int, User]) -> WallRow:
    person = people.get(row.hand)
    who = (person.first_name or person.username) if person else ""
    return WallRow(
        number=row.ticket.number,
        family_name=row.ticket.garment.customer.family_name,
        who=_SAID.get(row.state, who),
        state=row.state,
    )
