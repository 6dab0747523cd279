"""What the workroom asks of the record."""

import datetime
from typing import Any

from django.db import models
from django.db.models import Case, Exists, F, OuterRef, Prefetch, Subquery, Value, When
from django.db.models.functions import Coalesce

from customers.ledger import LedgerQuerySet
from garments.models import (
    IN_WORK,
    Alteration,
    Answer,
    Garment,
    Ticket,
    TicketLine,
    TicketRevision,
)


class State(models.TextChoices):
    """How far a ticket is; read from its newest answer, never written down itself."""

    ISSUED = "issued", "issued"
    IN_HAND = "in-hand", "in hand"
    ASKS = "asks", "asks the fitter"
    REPLIED = "replied", "answered"
    SENT_BACK = "sent-back", "sent back"
    DONE = "done", "done"
    WITHDRAWN = "withdrawn", "withdrawn"


OVER = {State.DONE, State.WITHDRAWN}
# What the newest answer to a revision makes of it.
STATE_OF = {
    Answer.Kind.TAKEN: State.IN_HAND,
    Answer.Kind.ASKS: State.ASKS,
    Answer.Kind.CANNOT: State.SENT_BACK,
    Answer.Kind.REPLIED: State.REPLIED,
    Answer.Kind.DONE: State.DONE,
}
SHOWN_AFTERWARDS = datetime.timedelta(days=60)  # how long a ticket that is over stays on the list

Stated = LedgerQuerySet[Any]  # mypy has no name for a revision that carries its state

# Nothing can be answered after done, so one such answer decides.
_IS_DONE = Exists(Answer.objects.standing().filter(revision=OuterRef("pk"), kind=Answer.Kind.DONE))
STANDING_LINES = TicketLine.objects.filter(
    revision=OuterRef("pk"), alteration__struck_by__isnull=True
)
_HAS_LINES = Exists(STANDING_LINES)
# Newest first: the first says how far a revision is, by STATE_OF.
ANSWERS = Answer.objects.standing().filter(revision=OuterRef("pk")).order_by("-at", "-id")
NOBODY = "-"  # asked for instead of a person: what nobody has taken


def hand_of(revision: str) -> Subquery:
    """The pk of who took a ticket last, unless it was sent back since; None when nobody has it.

    ``revision`` is what the asking row calls the revision.
    """
    said = Answer.objects.standing().filter(
        revision=OuterRef(revision), kind__in=[Answer.Kind.TAKEN, Answer.Kind.CANNOT]
    )
    taken = Case(When(kind=Answer.Kind.TAKEN, then=F("by")))
    return Subquery(said.order_by("-at", "-id").annotate(hand=taken).values("hand")[:1])


def newest_revisions() -> LedgerQuerySet[TicketRevision]:
    """Of every ticket the revision that holds: a later one strikes the one it replaces."""
    return TicketRevision.objects.standing()


def with_state(revisions: LedgerQuerySet[TicketRevision]) -> Stated:
    """Each revision with its ``state``, its ``hand`` (a person's pk) and what was ``said`` last.

    One whose every line was struck out is withdrawn.
    """
    meant = Case(*(When(kind=kind, then=Value(state)) for kind, state in STATE_OF.items()))
    answered = Subquery(ANSWERS.annotate(meant=meant).values("meant")[:1])
    return revisions.annotate(
        said=Subquery(ANSWERS.values("reason")[:1]),
        hand=hand_of("pk"),
        state=Case(
            When(_IS_DONE, then=Value(State.DONE)),
            When(~_HAS_LINES, then=Value(State.WITHDRAWN)),
            default=Coalesce(answered, Value(State.ISSUED)),
            output_field=models.CharField(),
        ),
    )


def unfinished() -> LedgerQuerySet[TicketRevision]:
    """What the workroom still owes: newest revisions, of garments in the house, not over.

    Found from the garments in work, so that it costs the same however many years lie behind.
    """
    in_work = newest_revisions().filter(ticket__garment__stage__in=IN_WORK)
    return in_work.filter(~_IS_DONE, _HAS_LINES)


def outstanding() -> Stated:
    """What the workroom still owes, with how far each is."""
    return with_state(unfinished())


def open_alterations(garment: Garment) -> LedgerQuerySet[Alteration]:
    """Standing alterations of a garment that are on no ticket's newest revision."""
    return offered(garment, None)


def offered(garment: Garment, revision: TicketRevision | None) -> LedgerQuerySet[Alteration]:
    """What may go on a ticket of the garment: what is open, and what ``revision`` has on it."""
    standing = Alteration.objects.standing().filter(garment=garment)
    elsewhere = newest_revisions().filter(lines__alteration=OuterRef("pk"))
    if revision is not None:
        elsewhere = elsewhere.exclude(ticket=revision.ticket_id)
    return standing.filter(~Exists(elsewhere)).order_by("at", "pk")


def still_standing(revision: TicketRevision) -> LedgerQuerySet[Alteration]:
    """The alterations on a revision that have not been struck out since."""
    return Alteration.objects.standing().filter(ticket_lines__revision=revision)


def for_list(
    state: str,
    day: datetime.date | None,
    today: datetime.date,
    hand: int | str | None = None,
    operation: str = "",
) -> Stated:
    """Tickets in a ``state``, empty for all that is owed, due on a ``day`` if one is given.

    ``hand`` is the pk of who has them, or ``NOBODY``; ``operation`` the key of one of their lines.
    Late first: by due day, then number; what is over the newest first, and only while it was due
    in the last 60 days or on the day asked for. With the lines and what a row shows.
    """
    over = state in OVER
    rows = with_state(newest_revisions()) if over else outstanding()
    if state:
        rows = rows.filter(state=state)
    if day:
        rows = rows.filter(due_on=day)
    elif over:
        rows = rows.filter(due_on__gte=today - SHOWN_AFTERWARDS)
    if hand:
        rows = rows.filter(hand=None if hand == NOBODY else hand)
    if operation:
        rows = rows.filter(Exists(STANDING_LINES.filter(alteration__operation=operation)))
    lines = TicketLine.objects.select_related("alteration").order_by("position")
    return (
        rows.select_related("ticket__garment__customer")
        .prefetch_related(Prefetch("lines", queryset=lines))
        .order_by("-due_on" if over else "due_on", "ticket__serial")
    )


def with_history(ticket: Ticket) -> LedgerQuerySet[TicketRevision]:
    """Every revision of a ticket, the newest first, with what the bench said to each."""
    answers = Answer.objects.select_related("by").order_by("at", "pk")
    return (
        TicketRevision.objects.filter(ticket=ticket)
        .select_related("by")
        .prefetch_related(Prefetch("answers", queryset=answers))
        .order_by("-revision")
    )


def for_paper(revisions: LedgerQuerySet[TicketRevision]) -> LedgerQuerySet[TicketRevision]:
    """Revisions with all that their papers say: two queries, however many.

    In the order of the day's work: by due day, then number.
    """
    lines = TicketLine.objects.select_related("alteration__struck_by").order_by("position")
    return (
        revisions.select_related(
            "ticket__garment__customer",
            "ticket__garment__cut_version__cut",
            "strikes",
            "struck_by",
        )
        .prefetch_related(Prefetch("lines", queryset=lines))
        .order_by("due_on", "ticket__serial", "revision")
    )
