"""The cases behind one figure, each with its garment and whether it was left out."""

import datetime
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from customers.ledger import LedgerQuerySet
from fittings.catalogue import Catalogue, read_as
from fittings.clock import midnight
from fittings.folios.wording import alteration_text
from fittings.learning import Row
from fittings.lessons.reading import first_judgements, learnt_since
from fittings.models import Judgement, Observation, Omission
from garments.models import Kind


@dataclass(frozen=True, slots=True)
class Told:
    """One case as the owner reads it: the judgement, the alteration in words, who left it out."""

    judgement: Judgement
    words: str
    omission: Omission | None
    entry_id: uuid.UUID = field(default_factory=uuid.uuid4)


def cases_behind(
    row: Row, before: datetime.date, catalogue: Catalogue
) -> LedgerQuerySet[Judgement]:
    """The judgements a figure was learnt from, the newest first; those left out among them.

    Asks one query at once, for how far back is learnt from.

    Behind a cause's prior or link stand all cases of the cause in that kind of garment.
    """
    fault = catalogue.fault_by_key.get(row.fault)
    kind = row.kind or (fault.kind if fault else "")
    about: dict[str, Any] = {"alteration__cause": row.cause}
    if row.operation:
        about["alteration__operation"] = row.operation
    elif kind:
        about["alteration__garment__kind__in"] = [k for k in Kind.values if read_as(k) == kind]
    if (since := learnt_since(before)) is not None:
        about["fitting__started_at__gte"] = since
    omissions: QuerySet[Omission] = Omission.objects.standing().select_related("by")
    found: LedgerQuerySet[Judgement] = (
        first_judgements()
        .filter(**about, fitting__started_at__lt=midnight(before))
        .select_related("alteration__garment__customer", "fitting", "by")
        .prefetch_related(Prefetch("alteration__omissions", queryset=omissions, to_attr="left_out"))
        .order_by("-fitting__started_at", "pk")
    )
    if row.operation:
        answered = Observation.objects.standing().filter(
            alterations=OuterRef("alteration"), fault=row.fault
        )
        found = found.filter(Exists(answered))
    return found


def told(judgements: Iterable[Any], unit: str) -> list[Told]:
    """The same in words; lengths in ``unit``."""
    return [
        Told(row, _words(row, unit), next(iter(row.alteration.left_out), None))
        for row in judgements
    ]


def _words(row: Judgement, unit: str) -> str:
    return alteration_text(row.alteration, row.alteration.garment.kind, unit)


def history_of(row: Row) -> LedgerQuerySet[Omission]:
    """Everything said about leaving the figure out, the newest first."""
    told: LedgerQuerySet[Omission] = (
        Omission.objects.filter(**row.columns).select_related("by").order_by("-at", "pk")
    )
    return told
