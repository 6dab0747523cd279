"""The writes of what is learnt: made anew once a day, and what it shall leave out."""

import datetime
import uuid

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from customers.ledger import already_kept, take_back
from fittings.catalogue import Catalogue
from fittings.learning import Row, learn
from fittings.lessons.kept import to_keep
from fittings.lessons.proposals import proposals_that_came_out
from fittings.lessons.queries import alterations_left_out, newest
from fittings.lessons.reading import books_of, cases_before
from fittings.models import Judgement, Lessons, Omission
from garments.models import Alteration


@transaction.atomic
def renew_lessons(*, catalogue: Catalogue, today: datetime.date) -> Lessons:
    """Learn anew from everything judged before today.

    The whole ledger is read, a fixed number of queries, so that what was struck since leaves no
    trace. Nothing judged today is in it: figures do not move under the hand during a day.
    """
    found = cases_before(today, catalogue, alterations_left_out())
    learnt = learn((each.case for each in found), books_of(catalogue))
    lessons, _ = Lessons.objects.update_or_create(
        pk=1,
        defaults={
            "before": today,
            "cases": learnt.cases,
            "figures": to_keep(learnt),
            "calibration": proposals_that_came_out(found, catalogue),
        },
    )
    return lessons


def renew_when_day_is_new(*, catalogue: Catalogue, today: datetime.date) -> None:
    """Learn anew unless it was done today: the first session of a day pays for all of it."""
    lessons = newest()
    if lessons is None or lessons.before < today:
        renew_lessons(catalogue=catalogue, today=today)


@transaction.atomic
def leave_case_out(
    *, entry_id: uuid.UUID, alteration: Alteration, note: str = "", by: User
) -> Omission:
    """Let the house learn nothing from one judged alteration, on whatever it bears.

    ValidationError when it was never judged. Left out already, that entry is returned.
    """
    if kept := already_kept(Omission, entry_id, by, alteration=alteration):
        return kept
    standing = Omission.objects.standing().filter(alteration=alteration).first()
    if standing is not None:
        return standing
    if not Judgement.objects.standing().filter(alteration=alteration).exists():
        raise ValidationError({"alteration": "Nothing was learnt from that alteration."})
    return Omission.objects.create(pk=entry_id, alteration=alteration, note=note.strip(), by=by)


@transaction.atomic
def leave_figure_out(*, entry_id: uuid.UUID, row: Row, note: str = "", by: User) -> Omission:
    """Let one figure go by the catalogue, whatever the house's cases say."""
    if kept := already_kept(Omission, entry_id, by, alteration=None):
        if Row(kept.cause, kept.fault, kept.operation, kept.kind) != row:
            raise ValidationError({"entry_id": "This page was used already: load it again."})
        return kept
    standing = Omission.objects.standing().filter(**row.columns).first()
    if standing is not None:
        return standing
    return Omission.objects.create(pk=entry_id, note=note.strip(), by=by, **row.columns)


@transaction.atomic
def take_in_again(*, entry_id: uuid.UUID, omission: Omission, by: User) -> Omission:
    """Learn again from what was left out; taken in already, the entry that did is returned."""
    if kept := already_kept(Omission, entry_id, by, strikes=omission):
        return kept
    if struck := Omission.objects.filter(strikes=omission).first():
        return struck
    about = ("alteration", "cause", "fault", "operation", "kind")
    return take_back(omission, entry_id=entry_id, by=by, same=about)
