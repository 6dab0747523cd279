"""What the workroom asks of the record."""

from typing import Any

from django.db import models
from django.db.models import Exists, OuterRef, Subquery

from customers.ledger import LedgerQuerySet
from garments.models import Alteration, Answer, Garment, TicketLine, TicketRevision


class State(models.TextChoices):
    """How far a ticket is; read from its newest answer, never written down itself."""

    ISSUED = "issued", "issued"
    IN_HAND = "in-hand", "in hand"
    ASKS = "asks", "asks the fitter"
    SENT_BACK = "sent-back", "sent back"
    DONE = "done", "done"
    WITHDRAWN = "withdrawn", "withdrawn"


STATE_OF = {
    "": State.ISSUED,
    Answer.Kind.TAKEN: State.IN_HAND,
    Answer.Kind.ASKS: State.ASKS,
    Answer.Kind.CANNOT: State.SENT_BACK,
    Answer.Kind.DONE: State.DONE,
}
Stated = LedgerQuerySet[Any]  # mypy has no name for a revision that carries its state
OVER = (State.DONE, State.WITHDRAWN)


def newest_revisions() -> LedgerQuerySet[TicketRevision]:
    """Of every ticket the revision that holds: a later one strikes the one it replaces."""
    return TicketRevision.objects.standing()


def with_state(revisions: LedgerQuerySet[TicketRevision]) -> Stated:
    """Each revision with its ``state``. One whose every line was struck out is withdrawn."""
    answers = Answer.objects.standing().filter(revision=OuterRef("pk")).order_by("-at", "-id")
    lines = TicketLine.objects.filter(revision=OuterRef("pk"), alteration__struck_by__isnull=True)
    return revisions.annotate(
        answered=Subquery(answers.values("kind")[:1]),
        state=models.Case(
            models.When(answered=Answer.Kind.DONE, then=models.Value(State.DONE)),
            models.When(~Exists(lines), then=models.Value(State.WITHDRAWN)),
            *(
                models.When(answered=kind, then=models.Value(state))
                for kind, state in STATE_OF.items()
                if kind not in ("", Answer.Kind.DONE)
            ),
            default=models.Value(State.ISSUED),
            output_field=models.CharField(),
        ),
    )


def outstanding() -> Stated:
    """What the workroom still owes: newest revisions neither done nor withdrawn."""
    return with_state(newest_revisions()).exclude(state__in=OVER)


def open_alterations(garment: Garment) -> LedgerQuerySet[Alteration]:
    """Standing alterations of a garment that are on no ticket's newest revision."""
    ticketed = newest_revisions().filter(lines__alteration=OuterRef("pk"))
    return Alteration.objects.standing().filter(~Exists(ticketed), garment=garment)


def still_standing(revision: TicketRevision) -> LedgerQuerySet[Alteration]:
    """The alterations on a revision that have not been struck out since."""
    return Alteration.objects.standing().filter(ticket_lines__revision=revision)
