"""The cases the ledger holds, in a fixed number of queries however many there are.

An alteration teaches when it was taken for a cause, answers a fault that was seen, and was judged
at a later look; its first judgement counts, as in the owner's review.
"""

import datetime
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils import timezone

from fittings.catalogue import Catalogue, read_as
from fittings.diagnosis import Network, prior_of
from fittings.diagnosis.building import LEAK
from fittings.learning import Case, Work
from fittings.models import Judgement, Observation
from fittings.session.looking import stage_of

KINDS = ("coat", "waistcoat", "trousers")
Answers = Observation.alterations.through
Look = tuple[uuid.UUID, int]


@dataclass(frozen=True, slots=True)
class Sighting:
    """What stands of a garment at one look, as it was logged: zone, fault or "", side."""

    kind: str
    stage: str
    signs: list[tuple[str, str, str]] = field(default_factory=list)

    @property
    def seen(self) -> frozenset[str]:
        return frozenset(fault for _, fault, _ in self.signs if fault)


@dataclass(frozen=True, slots=True)
class Found:
    """A case with the look it is of and the alterations behind it."""

    case: Case
    look: Look
    alterations: tuple[uuid.UUID, ...]


def books_of(catalogue: Catalogue) -> dict[str, Network]:
    """The catalogue's causes and links of each kind, each fault once, whatever its side."""
    kind_of = {row.key: row.kind for row in catalogue.faults}
    links: dict[str, dict[tuple[str, str], float]] = {kind: {} for kind in KINDS}
    for link in catalogue.links:
        links[kind_of[link.fault]][link.cause, link.fault] = link.probability
    return {
        kind: Network(
            priors={row.key: prior_of(row) for row in catalogue.causes if kind in row.kinds},
            links=links[kind],
            leaks={row.key: LEAK for row in catalogue.faults if row.kind == kind},
        )
        for kind in KINDS
    }


def cases_before(
    day: datetime.date, catalogue: Catalogue, left_out: Iterable[uuid.UUID] = ()
) -> list[Found]:
    """Every case judged before ``day``, without the alterations left out. Three queries."""
    judged = _judged(day, frozenset(left_out))
    answers = _answers(judged)
    sightings = sightings_of()
    together: dict[tuple[Look, str], list[uuid.UUID]] = defaultdict(list)
    beside: dict[Look, set[str]] = defaultdict(set)
    for key, (look, _) in answers.items():
        together[look, judged[key]["cause"]].append(key)
        beside[look].add(judged[key]["cause"])
    clean = _Clean(catalogue)
    found = []
    for (look, cause), keys in together.items():
        sighting = sightings[look]
        case = Case(
            day=min(judged[key]["day"] for key in keys),
            kind=sighting.kind,
            cause=cause,
            seen=sighting.seen,
            clean=clean.faults(sighting),
            work=tuple(
                Work(judged[key]["operation"], frozenset(answers[key][1]), judged[key]["verdict"])
                for key in keys
            ),
            beside=frozenset(beside[look] - {cause}),
        )
        found.append(Found(case, look, tuple(keys)))
    return sorted(found, key=lambda each: each.case.day)


def first_judgements() -> Any:
    """For each standing alteration with a cause, its first standing judgement."""
    standing = Judgement.objects.standing()
    earlier = standing.filter(
        alteration=OuterRef("alteration"), fitting__started_at__lt=OuterRef("fitting__started_at")
    )
    return standing.filter(
        ~Exists(earlier),
        alteration__struck_by__isnull=True,
        alteration__void=False,
        alteration__cause__gt="",
    )


def _judged(day: datetime.date, left_out: frozenset[uuid.UUID]) -> dict[uuid.UUID, dict[str, Any]]:
    rows = first_judgements().filter(fitting__started_at__lt=midnight(day)).order_by("at", "pk")
    judged: dict[uuid.UUID, dict[str, Any]] = {}
    for key, cause, operation, verdict, at in rows.values_list(
        "alteration", "alteration__cause", "alteration__operation", "verdict", "fitting__started_at"
    ):
        if key not in left_out:
            values = {"cause": cause, "operation": operation, "verdict": verdict}
            judged.setdefault(key, values | {"day": timezone.localtime(at).toordinal()})
    return judged


def _answers(judged: Mapping[uuid.UUID, Any]) -> dict[uuid.UUID, tuple[Look, set[str]]]:
    """For each judged alteration the look at which it was taken, and the faults it answers there.

    A fault seen again at a later look and answered by the same alteration counts once, where first.
    """
    told = Judgement.objects.filter(alteration=OuterRef("alteration"))
    rows = (
        Answers.objects.filter(
            Exists(told),
            observation__struck_by__isnull=True,
            observation__void=False,
            observation__fault__gt="",
        )
        .order_by("observation__at", "pk")
        .values_list(
            "alteration", "observation__fitting", "observation__garment", "observation__fault"
        )
    )
    answers: dict[uuid.UUID, tuple[Look, set[str]]] = {}
    for key, fitting, garment, fault in rows:
        if key not in judged:
            continue
        look, faults = answers.setdefault(key, ((fitting, garment), set()))
        if look == (fitting, garment):
            faults.add(fault)
    return answers


def sightings_of() -> dict[Look, Sighting]:
    """What stands of each look that an alteration came of. One query."""
    altered = Answers.objects.filter(
        observation__fitting=OuterRef("fitting"), observation__garment=OuterRef("garment")
    )
    rows = (
        Observation.objects.standing()
        .filter(Exists(altered))
        .order_by("at", "pk")
        .values_list(
            "fitting",
            "garment",
            "zone",
            "fault",
            "side",
            "garment__kind",
            "fitting__purpose",
        )
    )
    found: dict[Look, Sighting] = {}
    for fitting, garment, zone, fault, side, kind, purpose in rows:
        look = fitting, garment
        if look not in found:
            found[look] = Sighting(read_as(kind), stage_of(purpose))
        found[look].signs.append((zone, fault, side))
    return found


class _Clean:
    """The faults that a zone called clean says are not there, at a stage at which they show."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.of: dict[tuple[str, str, str], set[str]] = defaultdict(set)
        for row in catalogue.faults:
            for stage in row.stages:
                self.of[row.kind, row.zone, stage].add(row.key)

    def faults(self, sighting: Sighting) -> frozenset[str]:
        clean = (zone for zone, fault, _ in sighting.signs if not fault)
        named = (self.of[sighting.kind, zone, sighting.stage] for zone in clean)
        return frozenset().union(*named) - sighting.seen


def midnight(day: datetime.date) -> datetime.datetime:
    """When the day begins by the house's clock."""
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time.min))
