"""What the owner says of makers, stages and overtime. Every write of this room."""

import datetime
import uuid
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from customers.ledger import already_kept, refuse_used, take_back
from customers.models import House
from customers.versions import save_unless_changed
from fittings.models import AgreedOvertime, Maker, StageTime
from fittings.promise import STAGES

STAGE_COLUMNS = ("kind", "stage", "minutes", "wait_days", "reason")
OVERTIME_COLUMNS = ("craft", "minutes", "first", "last")


Said = TypeVar("Said", StageTime, AgreedOvertime)


def _kept(model: type[Said], entry_id: uuid.UUID, by: User, **values: Any) -> Said | None:
    """What this very form wrote before; ValidationError when that said something else."""
    kept = already_kept(model, entry_id, by)
    if kept:
        refuse_used(same=all(getattr(kept, name) == value for name, value in values.items()))
    return kept


@transaction.atomic
def seat_maker(
    *,
    name: str,
    craft: str,
    minutes: int,
    since: datetime.date,
    until: datetime.date | None,
    user: User | None,
) -> Maker:
    """Someone sits at a bench from a day on. Said twice it is kept once.

    ValidationError keyed by field when they sit at another bench in the same days.
    """
    House.take_turns()
    maker = Maker(name=name, craft=craft, minutes=minutes, since=since, until=until, user=user)
    same = Maker.objects.filter(name__iexact=name, craft=craft, minutes=minutes, since=since)
    if kept := same.filter(until=until, user=user).first():
        return kept
    _refuse_second_bench(maker)
    maker.full_clean()
    maker.save()
    return maker


@transaction.atomic
def change_maker(*, maker: Maker, version: int, values: dict[str, Any]) -> Maker:
    """Change how, or until when, someone sits at a bench.

    ChangedMeanwhileError when somebody else did first; ValidationError as for a new one.
    """
    House.take_turns()
    row = Maker.objects.get(pk=maker.pk)
    for name, value in values.items():
        setattr(row, name, value)
    _refuse_second_bench(row)
    row.full_clean()
    save_unless_changed(maker, version=version, values=values)
    return maker


def _refuse_second_bench(maker: Maker) -> None:
    """Minutes counted at two benches would promise the same hour twice."""
    who = Q(name__iexact=maker.name)
    if maker.user is not None:
        who |= Q(user=maker.user)
    others = Maker.objects.filter(who).exclude(pk=maker.pk)
    others = others.filter(Q(until__isnull=True) | Q(until__gte=maker.since))
    if maker.until is not None:
        others = others.filter(since__lte=maker.until)
    if other := others.first():
        raise ValidationError(
            {
                "name": f"{other} sits at the bench of the {other.get_craft_display()} in these "
                "days already: give that a last day first."
            }
        )


@transaction.atomic
def set_stage_time(
    *,
    entry_id: uuid.UUID,
    kind: str,
    stage: str,
    minutes: int,
    wait_days: int,
    reason: str,
    by: User,
) -> StageTime:
    """What a stage takes in this house from here on. Sent twice it is kept once.

    ValidationError for a stage that kind does not have, or minutes where nobody works.
    """
    House.take_turns()
    values = {"kind": kind, "stage": stage, "minutes": minutes, "wait_days": wait_days}
    if kept := _kept(StageTime, entry_id, by, **values, reason=reason, void=False):
        return kept
    row = next((row for row in STAGES.get(kind, ()) if row.key == stage), None)
    if row is None or bool(row.craft) != bool(minutes):
        raise ValidationError({"minutes": "Only bench work has minutes, and it has some."})
    before = StageTime.objects.standing().filter(kind=kind, stage=stage).first()
    entry = StageTime(pk=entry_id, **values, reason=reason, by=by, strikes=before)
    entry.clean_fields(exclude={"by", "strikes"})
    entry.save(force_insert=True)
    return entry


@transaction.atomic
def strike_stage_time(*, entry_id: uuid.UUID, kind: str, stage: str, by: User) -> None:
    """The stage takes what comes with the program again. ValidationError when it does already."""
    House.take_turns()
    if _kept(StageTime, entry_id, by, kind=kind, stage=stage, void=True):
        return
    row = StageTime.objects.standing().filter(kind=kind, stage=stage).first()
    if row is None:
        raise ValidationError("It takes what comes with the program already.")
    take_back(row, entry_id=entry_id, by=by, same=STAGE_COLUMNS)


@transaction.atomic
def agree_overtime(
    *,
    entry_id: uuid.UUID,
    craft: str,
    minutes: int,
    first: datetime.date,
    last: datetime.date,
    by: User,
) -> AgreedOvertime:
    """Overtime for every maker of a craft. Sent twice it is kept once."""
    House.take_turns()
    values = {"craft": craft, "minutes": minutes, "first": first, "last": last}
    if kept := _kept(AgreedOvertime, entry_id, by, **values, void=False):
        return kept
    row = AgreedOvertime(pk=entry_id, **values, by=by)
    row.clean_fields(exclude={"by", "strikes"})
    row.save(force_insert=True)
    return row


@transaction.atomic
def strike_overtime(*, entry_id: uuid.UUID, row: AgreedOvertime, by: User) -> None:
    """The overtime counts no more. ValidationError when it was taken back before."""
    House.take_turns()
    if _kept(AgreedOvertime, entry_id, by, strikes_id=row.pk, void=True):
        return
    standing = AgreedOvertime.objects.standing().filter(pk=row.pk).first()
    if standing is None:
        raise ValidationError("It was taken back already.")
    take_back(standing, entry_id=entry_id, by=by, same=OVERTIME_COLUMNS)
