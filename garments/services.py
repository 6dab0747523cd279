"""The one way in for each write about a garment."""

import datetime
import logging
import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers.ledger import already_kept
from customers.lengths import Length
from customers.models import Customer, MeasurementSet
from customers.numbering import create_numbered
from customers.people import refuse_erased
from customers.services import keep_change
from customers.versions import save_unless_changed
from garments import seams
from garments.inlays.pieces import inlays_of_piece
from garments.inlays.services import bring_back_inlays
from garments.models import CutVersion, Garment, InlayMovement, Remake, Stage, StageEntry
from garments.queries import inlays_of
from garments.shears.cloth import NO_PIECE, Piece
from garments.shears.services import refuse_unclean
from garments.stages import MAY_FOLLOW, PIECES

FURTHEST_PROMISE = datetime.timedelta(days=5 * 365)  # beyond it the year is mistyped; house rule

WHEN_DELIVERED = "promised_when_delivered"

logger = logging.getLogger("ledger.garments")


@transaction.atomic
def order_garment(
    *,
    form_id: uuid.UUID,
    customer: Customer,
    kind: str,
    cut_version: CutVersion,
    cloth: str,
    cloth_pattern: str,
    cutter: User,
    promised_on: datetime.date | None,
    notes: str,
    piece: Piece = NO_PIECE,
    by: User,
) -> Garment:
    """Take an order: the garment, its number, its first stage and the inlays normally left.

    ``piece`` is what is known of the cloth's length, width and repeat. The same form sent twice
    orders once. ValidationError keyed by field: a kind or pattern that does not exist, a cut of
    another kind or laid aside, a promise for a day gone by, a cloth that cannot be.
    """
    # Two sendings of one form wait here for each other, where the database lets two write at once.
    Customer.objects.select_for_update().get(pk=customer.pk)
    if kept := already_kept(Garment, form_id, by, id_field="form_id", customer=customer):
        return kept
    refuse_erased(customer)
    wrong = _cut_refusal(kind, cut_version) | _promise_refusal(promised_on) | piece.refusals()
    if wrong:
        raise ValidationError(dict(wrong))
    values: dict[str, Any] = {
        "form_id": form_id,
        "customer": customer,
        "kind": kind,
        "cut_version": cut_version,
        "cloth": cloth.strip(),
        "cloth_pattern": cloth_pattern,
        "cutter": cutter,
        "promised_on": promised_on,
        "notes": notes.strip(),
        **piece.values(),
    }
    Garment(**values).clean_fields(exclude={"number", "serial", "customer", "cutter"})
    garment = create_numbered(Garment, "G", **values)
    _enter(uuid.uuid4(), garment, Stage.ORDERED, "", by)
    _leave_normal_inlays(garment, by)
    return garment


@transaction.atomic
def update_garment(
    *, garment: Garment, version: int, values: Mapping[str, Any], by: User
) -> Garment:
    """Change what was agreed: cloth, pattern, cutter, promise, notes; and the cut, until it is cut.

    ChangedMeanwhileError when someone else did since ``version``; ValidationError keyed by field.
    """
    row = Garment.objects.held(garment.pk)
    cut_version = values.get("cut_version", row.cut_version)
    promised_on = values.get("promised_on", row.promised_on)
    wrong = Piece.of(values).refusals()
    if cut_version != row.cut_version:
        wrong |= _cut_refusal(row.kind, cut_version)
        if row.stage != Stage.ORDERED:
            wrong["cut_version"] = "It is cut already: the cut it was cut by stays."
    if promised_on != row.promised_on:
        wrong |= _promise_refusal(promised_on)
    if wrong:
        raise ValidationError(dict(wrong))
    others = [name for name, value in values.items() if getattr(row, name) != value]
    save_unless_changed(row, version=version, values=dict(values))
    keep_change(garment.customer, row.number, others, by)
    logger.info("garment %s changed by user %s: %s", row.number, by.pk, ", ".join(values))
    return row


@transaction.atomic
def cut_garment(
    *, entry_id: uuid.UUID, garment: Garment, measurement_set: MeasurementSet, by: User
) -> Garment:
    """Enter that a garment was cut, and from which measures: from now on that set is frozen.

    A garment already further on, whose cutting nobody entered, keeps its stage. ValidationError:
    another customer's measures, measures struck out, a garment cut from others or replaced; and
    every line that is open before the shears (``garments.shears``), when the cloth is yet whole.
    """
    row = Garment.objects.held(garment.pk)
    if already_kept(StageEntry, entry_id, by, garment=row):
        return garment
    if row.measurement_set_id != measurement_set.pk:
        _refuse_set(row, measurement_set)
        if row.stage == Stage.ORDERED:
            refuse_unclean(row, measurement_set)
            taken = f"From the {measurement_set}"
            _move(row, entry_id, Stage.CUT, taken, by)
        row.measurement_set = measurement_set
        row.save(update_fields=["measurement_set"])
    return _copied(row, garment)


@transaction.atomic
def enter_stage(
    *, entry_id: uuid.UUID, garment: Garment, stage: str, reason: str = "", by: User
) -> StageEntry:
    """Enter that a garment reached a stage, and show it on the garment: the two never differ.

    Sent twice it is kept once. ValidationError for a stage that does not exist or cannot follow
    (``garments.stages``): a delivered garment is not altered before it came back.
    """
    row = Garment.objects.held(garment.pk)
    if kept := already_kept(StageEntry, entry_id, by, garment=row):
        return kept
    if stage not in Stage.values:
        raise ValidationError({"stage": f"There is no stage called “{stage}”."})
    entry = _move(row, entry_id, Stage(stage), reason, by)
    _copied(row, garment)
    return entry


@transaction.atomic
def take_back_stage(*, entry_id: uuid.UUID, garment: Garment, by: User) -> StageEntry:
    """Strike the newest stage, entered by mistake: the garment is again at the one before.

    A cutting taken back gives its measures free. ValidationError when there is nothing before it,
    or when a remake stands.
    """
    row = Garment.objects.held(garment.pk)
    if kept := already_kept(StageEntry, entry_id, by, garment=row):
        return kept
    standing = StageEntry.objects.standing().filter(garment=row).order_by("-at", "-pk")[:2]
    if len(standing) < 2 or row.stage == Stage.REMADE:  # noqa: PLR2004 - it and the one before
        raise ValidationError({"stage": f"“{row.get_stage_display()}” cannot be taken back."})
    wrong, before = standing
    struck = StageEntry.objects.create(
        id=entry_id, garment=row, stage=wrong.stage, strikes=wrong, void=True, by=by
    )
    row.stage, row.stage_since = before.stage, before.at
    if wrong.stage == Stage.CUT:
        row.measurement_set = None
    if wrong.stage == Stage.DELIVERED and not _was_delivered(row):
        row.promised_when_delivered = None
    row.save(update_fields=["stage", "stage_since", "measurement_set", WHEN_DELIVERED])
    _copied(row, garment)
    return struck


@transaction.atomic
def set_inlay(
    *, entry_id: uuid.UUID, garment: Garment, seam: str, side: str, counted: Length, by: User
) -> InlayMovement:
    """Enter the inlay found in a seam: a movement of the difference makes the sum ``counted``.

    ValidationError keyed by field: a seam that holds no inlay on that side, a length below nothing
    or beyond what any seam holds.
    """
    row = Garment.objects.held(garment.pk)
    if kept := already_kept(InlayMovement, entry_id, by, garment=row):
        return kept
    wrong = _inlay_refusal(row.kind, seam, side, counted)
    if wrong:
        raise ValidationError(dict(wrong))
    now = inlays_of(row).get((seam, side), Length(0))
    return InlayMovement.objects.create(
        id=entry_id,
        garment=row,
        seam=seam,
        side=side,
        amount=counted - now,
        reason=InlayMovement.Reason.COUNTED,
        by=by,
    )


@transaction.atomic
def count_inlays(
    *,
    entry_id: uuid.UUID,
    garment: Garment,
    counted: Mapping[tuple[str, str], Length],
    by: User,
) -> list[InlayMovement]:
    """Several seams counted in one go: all are kept, or none. One entry each, as ``set_inlay``.

    ValidationError keyed by place: ``side-seam-L``, ``centre-back``.
    """
    kept, wrong = [], {}
    for (seam, side), length in counted.items():
        place = f"{seam}-{side}".rstrip("-")
        try:
            kept.append(
                set_inlay(
                    entry_id=uuid.uuid5(entry_id, place),
                    garment=garment,
                    seam=seam,
                    side=side,
                    counted=length,
                    by=by,
                )
            )
        except ValidationError as error:
            wrong[place] = error.messages
    if wrong:
        raise ValidationError(wrong)
    return kept


@transaction.atomic
def record_remake(
    *,
    entry_id: uuid.UUID,
    replaces: Garment,
    piece: str,
    reason: str,
    by: User,
    cut_version: CutVersion | None = None,
    cutter: User | None = None,
    promised_on: datetime.date | None = None,
    notes: str = "",
) -> Remake:
    """Cut again at the house's cost: a main ``piece``, or with no piece the whole garment.

    A piece sends the same garment back to be altered, with new cloth in its seams. A whole remake
    orders a new garment of the same kind and cloth, and the old one ends. ValidationError keyed by
    field.
    """
    row = Garment.objects.held(replaces.pk)
    if kept := already_kept(Remake, entry_id, by, replaces=row):
        return kept
    reason = reason.strip()
    _refuse_remake(row, piece, reason)
    new = None
    if piece:
        _move(row, uuid.uuid4(), Stage.ALTERING, f"{piece} cut again: {reason}"[:300], by)
        bring_back_inlays(garment=row, normal=inlays_of_piece(row.kind, piece), by=by)
    else:
        _move(row, uuid.uuid4(), Stage.REMADE, reason, by)
        new = order_garment(
            form_id=uuid.uuid5(entry_id, "garment"),
            customer=row.customer,
            kind=row.kind,
            cut_version=cut_version or row.cut_version,
            cloth=row.cloth,
            cloth_pattern=row.cloth_pattern,
            piece=Piece(width=row.cloth_width, repeat=row.cloth_repeat),
            cutter=cutter or row.cutter,
            promised_on=promised_on,
            notes=notes,
            by=by,
        )
    remake = Remake(id=entry_id, replaces=row, garment=new, piece=piece, reason=reason, by=by)
    remake.clean_fields(exclude={"replaces", "garment", "by", "strikes"})
    remake.save(force_insert=True)
    _copied(row, replaces)
    return remake


def _refuse_remake(row: Garment, piece: str, reason: str) -> None:
    wrong = {} if reason else {"reason": "Say why it is cut again."}
    if piece and piece not in PIECES[row.kind]:
        wrong["piece"] = f"“{piece[:40]}” is no main piece of this garment."
    if wrong:
        raise ValidationError(dict(wrong))


def _copied(row: Garment, garment: Garment) -> Garment:
    """Show the caller's own instance what was written."""
    garment.stage, garment.stage_since = row.stage, row.stage_since
    garment.measurement_set_id = row.measurement_set_id
    return garment


def _move(row: Garment, entry_id: uuid.UUID, stage: Stage, reason: str, by: User) -> StageEntry:
    if stage not in MAY_FOLLOW[row.stage] or _comes_back_too_soon(row, stage):
        raise ValidationError(
            {
                "stage": f"{row.number} is “{row.get_stage_display()}”: "
                f"“{stage.label}” cannot come next."
            }
        )
    return _enter(entry_id, row, stage, reason, by)


def _comes_back_too_soon(row: Garment, stage: Stage) -> bool:
    """Whether a garment would come back that was never delivered."""
    if stage != Stage.RETURNED or row.stage in {Stage.DELIVERED, Stage.RETURNED}:
        return False
    return not _was_delivered(row)


def _was_delivered(row: Garment) -> bool:
    """Whether it ever was, as the record stands."""
    return StageEntry.objects.standing().filter(garment=row, stage=Stage.DELIVERED).exists()


def _enter(entry_id: uuid.UUID, row: Garment, stage: Stage, reason: str, by: User) -> StageEntry:
    entry = StageEntry(id=entry_id, garment=row, stage=stage, reason=reason.strip(), by=by)
    entry.clean_fields(exclude={"garment", "by", "strikes"})
    # A day promised for its second delivery must not make the first one in time.
    if stage == Stage.DELIVERED and not _was_delivered(row):
        row.promised_when_delivered = row.promised_on
    entry.save(force_insert=True)
    row.stage, row.stage_since = stage, entry.at
    row.save(update_fields=["stage", "stage_since", WHEN_DELIVERED])
    return entry


def _leave_normal_inlays(garment: Garment, by: User) -> None:
    InlayMovement.objects.bulk_create(
        InlayMovement(
            garment=garment,
            seam=seam,
            side=side,
            amount=left,
            reason=InlayMovement.Reason.LEFT,
            by=by,
        )
        for (seam, side), left in seams.normal_inlays(garment.kind).items()
    )


def _cut_refusal(kind: str, cut_version: CutVersion) -> dict[str, str]:
    cut = cut_version.cut
    if cut.kind != kind:
        return {"cut_version": f"{cut.name} is not a cut for this kind of garment."}
    if cut.retired:
        return {"cut_version": f"{cut.name} is laid aside: choose a cut in use."}
    return {}


def _promise_refusal(promised_on: datetime.date | None) -> dict[str, str]:
    today = timezone.localdate()
    if promised_on is None or today <= promised_on <= today + FURTHEST_PROMISE:
        return {}
    if promised_on < today:
        return {"promised_on": "That day is gone by: promise a day from today on."}
    return {"promised_on": "That is more than five years away: look at the year again."}


def _refuse_set(row: Garment, measures: MeasurementSet) -> None:
    wrong = ""
    if measures.customer_id != row.customer_id:
        wrong = "Those are another customer's measures."
    elif not MeasurementSet.objects.standing().filter(pk=measures.pk).exists():
        wrong = "Those measures are struck out: choose the set that corrects them."
    elif row.measurement_set_id is not None:
        wrong = "It is cut from other measures already: take the cutting back first."
    elif row.stage == Stage.REMADE:
        wrong = "It is replaced by a remake."
    if wrong:
        raise ValidationError({"measurement_set": wrong})


def _inlay_refusal(kind: str, seam: str, side: str, counted: Length) -> dict[str, str]:
    held = {place for s in seams.seams(kind) if s.holds_inlay for place in _places(s)}
    if (seam, side) not in held:
        return {"seam": f"There is no inlay to count at “{seam[:40]}” {side[:4]}".rstrip() + "."}
    if counted < Length(0):
        return {"counted": "An inlay is never below nothing."}
    if counted > seams.MOST:
        return {"counted": f"More than {seams.MOST} in: look at the tape again."}
    return {}


def _places(seam: seams.Seam) -> list[tuple[str, str]]:
    return [(seam.key, side) for side in seam.sides]
