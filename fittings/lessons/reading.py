"""The cases the ledger holds, in a fixed number of queries however many there are.

An alteration teaches when it was taken for a cause, answers a fault that was seen, and was judged
at a later look; its first judgement counts, as in the owner's review.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import CharField, Exists, OuterRef, Q
from django.db.models.functions import Cast
from django.utils import timezone

from fittings.catalogue import Catalogue, read_as
from fittings.clock import midnight
from fittings.diagnosis import Network, prior_of
from fittings.diagnosis.building import LEAK
from fittings.learning import Case, Work
from fittings.models import Judgement, Observation
from fittings.session.looking import stage_of

KINDS = ("coat", "waistcoat", "trousers")
# So many judged alterations, the newest, are learnt from: years of a busy house, and no more than
# a second or two of work however old it gets. Cutters leave and cuts change; older ones are let go.
NEWEST_JUDGED = 8000
# What is judged so long after it was decided tells little: looks before that are not searched for.
LONGEST_WAIT = datetime.timedelta(days=366)
Answers = Observation.alterations.through
Key = str  # an id as text: the lessons read many, and only tell them apart
Look = tuple[Key, int]
Answered = dict[Key, tuple[Look, set[str], datetime.datetime]]


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
    alterations: tuple[Key, ...]


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
    day: datetime.date, catalogue: Catalogue, left_out: Iterable[Key] = ()
) -> list[Found]:
    """The newest cases judged before ``day``, without the alterations left out. Four queries."""
    since = learnt_since(day)
    judged = _judged(day, since, frozenset(left_out))
    answers = _answers(judged, since)
    sightings = sightings_of(answers)
    together: dict[tuple[Look, str], list[Key]] = defaultdict(list)
    beside: dict[Look, set[str]] = defaultdict(set)
    for key, (look, _, _) in answers.items():
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


def text_of(name: str) -> Cast:
    """An id as text, which costs a fraction of making a UUID of each."""
    return Cast(name, CharField())


def learnt_since(day: datetime.date) -> datetime.datetime | None:
    """When the oldest of the newest was judged; None where there are not so many. One query."""
    moments = (
        Judgement.objects.filter(fitting__started_at__lt=midnight(day))
        .order_by("-fitting__started_at")
        .values_list("fitting__started_at", flat=True)
    )
    return next(iter(moments[NEWEST_JUDGED - 1 : NEWEST_JUDGED]), None)


def _judged(
    day: datetime.date, since: datetime.datetime | None, left_out: frozenset[Key]
) -> dict[Key, dict[str, Any]]:
    rows = first_judgements().filter(fitting__started_at__lt=midnight(day)).order_by("at", "pk")
    if since is not None:
        rows = rows.filter(fitting__started_at__gte=since)
    judged: dict[Key, dict[str, Any]] = {}
    for cause, operation, verdict, at, key in rows.values_list(
        "alteration__cause",
        "alteration__operation",
        "verdict",
        "fitting__started_at",
        text_of("alteration"),
    ):
        if key not in left_out:
            values = {"cause": cause, "operation": operation, "verdict": verdict}
            judged.setdefault(key, values | {"day": timezone.localtime(at).toordinal()})
    return judged


def _answers(judged: Mapping[Key, Any], since: datetime.datetime | None) -> Answered:
    """For each judged alteration the look at which it was taken, when, and the faults answered.

    A fault seen again at a later look and answered by the same alteration counts once, where first.
    """
    told = Judgement.objects.filter(alteration=OuterRef("alteration"))
    looks = Q()
    if since is not None:
        told = told.filter(fitting__started_at__gte=since)
        looks = Q(observation__fitting__started_at__gte=since - LONGEST_WAIT)
    rows = Answers.objects.filter(
        looks,
        Exists(told),
        observation__struck_by__isnull=True,
        observation__void=False,
        observation__fault__gt="",
    ).values_list(
        "observation__at",
        "pk",
        "observation__garment",
        "observation__fault",
        "observation__fitting__started_at",
        text_of("alteration"),
        text_of("observation__fitting"),
    )
    answers: Answered = {}
    # Sorted here: asked to, SQLite would walk all observations in the order of time.
    for _, _, garment, fault, at, key, fitting in sorted(rows):
        if key not in judged:
            continue
        look, faults, _ = answers.setdefault(key, ((fitting, garment), set(), at))
        if look == (fitting, garment):
            faults.add(fault)
    return answers


def sightings_of(answers: Answered) -> dict[Look, Sighting]:
    """What stands of each look that an alteration came of. One query."""
    altered = Answers.objects.filter(
        observation__fitting=OuterRef("fitting"), observation__garment=OuterRef("garment")
    )
    since = min((at for _, _, at in answers.values()), default=timezone.now())
    rows = (
        Observation.objects.standing()
        .filter(Exists(altered), fitting__started_at__gte=since)
        .order_by()
        .values_list(
            "garment",
            "zone",
            "fault",
            "side",
            "garment__kind",
            "fitting__purpose",
            text_of("fitting"),
        )
    )
    found: dict[Look, Sighting] = {}
    for garment, zone, fault, side, kind, purpose, fitting in rows:
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
