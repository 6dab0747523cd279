"""How long the house keeps people and photographs: the owner's rule, and who is due by it.

Local law says how long records of customers must be kept and may be kept: the rule is the
owner's, nothing is due without one, and nothing is erased by it unless the owner says so.
"""

import datetime
import uuid
from dataclasses import dataclass
from typing import Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, Max, OuterRef, QuerySet, Subquery
from django.utils import timezone

from customers.ledger import already_kept, refuse_used
from customers.models import Changed, Consent, Customer, House, MeasurementSet
from fittings.models import Booking, Erasure, Fitting, Photograph, RetentionRule, Seen
from fittings.privacy.erasing import erase_customer
from fittings.session.services.photographs import delete_photographs
from garments.models import Garment, StageEntry

SEEN_DAYS: Final = 365  # how long who saw whom is kept
KEPT: Final = Erasure.Reason.KEPT
MONTHS: Final = 12


@transaction.atomic
def keep_rule(
    *,
    entry_id: uuid.UUID,
    years: int | None,
    photograph_months: int | None,
    alone: bool,
    by: User,
) -> RetentionRule:
    """Say how long people and photographs are kept from here on."""
    House.take_turns()
    if kept := already_kept(RetentionRule, entry_id, by):
        said = (kept.years, kept.photograph_months, kept.alone)
        refuse_used(same=said == (years, photograph_months, alone))
        return kept
    row = RetentionRule(
        pk=entry_id, years=years, photograph_months=photograph_months, alone=alone, by=by
    )
    row.clean_fields(exclude={"by", "strikes"})
    row.save(force_insert=True)
    return row


def rule() -> RetentionRule | None:
    """The rule that holds, None where the owner set none."""
    return RetentionRule.objects.select_related("by").order_by("-at", "-pk").first()


def people_due(held: RetentionRule | None, now: datetime.datetime) -> QuerySet[Customer]:
    """People nothing happened with for the rule's years, longest ago first.

    ``delivered`` and ``visited`` are their last stage of work and last fitting, each if any.
    """
    if held is None or held.years is None:
        return Customer.objects.none()
    since = _before(now, held.years * MONTHS)
    own = {"customer": OuterRef("pk")}
    lately = (
        Garment.objects.in_work().filter(**own),
        StageEntry.objects.filter(garment__customer=OuterRef("pk"), at__gt=since),
        Fitting.objects.filter(**own, started_at__gt=since),
        Booking.objects.filter(**own, starts_at__gt=since),
        MeasurementSet.objects.filter(**own, at__gt=since),
        Consent.objects.filter(**own, at__gt=since),
        Changed.objects.filter(**own, at__gt=since),
    )
    rows = Customer.objects.filter(erased_at=None, created_at__lte=since)
    for what in lately:
        rows = rows.exclude(Exists(what))
    work = StageEntry.objects.filter(garment__customer=OuterRef("pk")).order_by()
    looks = Fitting.objects.filter(**own).order_by()
    return rows.annotate(
        delivered=Subquery(work.values("garment__customer").annotate(m=Max("at")).values("m")),
        visited=Subquery(looks.values("customer").annotate(m=Max("started_at")).values("m")),
    ).order_by("visited", "created_at", "pk")


def photographs_due(held: RetentionRule | None, now: datetime.datetime) -> QuerySet[Photograph]:
    """Photographs older than the rule's months, oldest first.

    Those of garments in work stay: the bench sews by them.
    """
    if held is None or held.photograph_months is None:
        return Photograph.objects.none()
    taken = Photograph.objects.filter(
        at__lte=_before(now, held.photograph_months), void=False, deletion__isnull=True
    )
    in_work = Garment.objects.in_work().values("pk")
    return taken.exclude(garment__in=in_work).order_by("at", "pk")


@dataclass(frozen=True, slots=True)
class Kept:
    """What a run of the rule did: numbers erased, numbers left and why, photographs deleted."""

    erased: list[str]
    left: list[str]
    pictures: int


def apply_rule(now: datetime.datetime) -> Kept:
    """Erase and delete what is due, in the name of who set the rule, where it may act alone."""
    held = rule()
    if held is None or not held.alone:
        return Kept([], [], 0)
    erased: list[str] = []
    left: list[str] = []
    for customer in list(people_due(held, now)):
        try:
            erase_customer(
                entry_id=uuid.uuid4(),
                customer=customer,
                typed=customer.number,
                reason=KEPT,
                close_open=False,
                by=held.by,
            )
        except ValidationError as error:
            left.append(f"{customer.number}: {' '.join(error.messages)}")
        else:
            erased.append(customer.number)
    return Kept(erased, left, drop_photographs(entry_id=uuid.uuid4(), now=now, by=held.by))


def drop_photographs(*, entry_id: uuid.UUID, now: datetime.datetime, by: User) -> int:
    """Delete for good the photographs that are due by the rule; how many.

    ValidationError when the disk does not let one go.
    """
    due = list(photographs_due(rule(), now))
    delete_photographs(entry_id=entry_id, photographs=due, reason=KEPT.label, by=by)
    return len(due)


def forget_seen(now: datetime.datetime) -> int:
    """Let go of who saw whom after a year; how many rows went."""
    gone = Seen.objects.filter(at__lt=now - datetime.timedelta(days=SEEN_DAYS))
    return gone._raw_delete(gone.db)  # noqa: SLF001 - nothing refers to them


def _before(now: datetime.datetime, months: int) -> datetime.datetime:
    """The same day and time so many months ago; the month's last day where it has no such day."""
    local = timezone.localtime(now)
    year, month = divmod(local.year * MONTHS + local.month - 1 - months, MONTHS)
    day = local.day
    while True:
        try:
            return local.replace(year=year, month=month + 1, day=day)
        except ValueError:
            day -= 1
