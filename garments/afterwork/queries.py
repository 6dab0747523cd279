"""What was measured before and after the bench's work. Three queries, whatever the data."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from django.db.models import Exists, OuterRef, QuerySet

from customers.lengths import Length
from garments import cutting, seams
from garments.afterwork.bias import Lean, Verdict, leans_by_operation, leans_of
from garments.afterwork.cases import Case, Done, Reading, Work, cases_of
from garments.models import Alteration, Answer, FinishedMeasure, Kind, Remake, TicketLine

Place = tuple[str, str]

# What a tape can show at a seam: sixteenths of an inch, or millimetres. A mean of several readings
# is told finer than one.
STEP = {"in": 0.0625, "cm": 0.1}
FINE = {"in": ("in", 1 / 32), "cm": ("mm", 0.1)}


@dataclass(frozen=True, slots=True)
class Row:
    """A kind of work in words: how it comes out, and what a cutter makes of it."""

    work: Work
    lean: Lean
    unit: str
    anywhere: Lean  # the same operation, whatever the seam and the kind

    @property
    def key(self) -> str:
        """What it is called in an address."""
        return f"{self.work.kind}.{self.work.operation}.{self.work.seam}"

    @property
    def name(self) -> str:
        return work_name(self.work)

    @property
    def verdict(self) -> str:
        return self.lean.verdict.name.lower()

    @property
    def bias(self) -> str:
        return finely(self.lean.bias, self.unit, signed=True) if self.lean.count else ""

    @property
    def spread(self) -> str:
        return "" if self.lean.spread is None else finely(self.lean.spread, self.unit)

    @property
    def interval(self) -> str:
        if self.lean.low is None or self.lean.high is None:
            return ""
        ends = (finely(end, self.unit, signed=True) for end in (self.lean.low, self.lean.high))
        return " to ".join(ends)

    @property
    def leans(self) -> bool:
        """Whether there is a lean, and one that a tape shows."""
        return bool(_off(self.lean, self.unit))

    @property
    def means(self) -> str:
        """What it comes to, in one sentence."""
        verdict, off = self.lean.verdict, _off(self.lean, self.unit)
        if verdict is Verdict.TOO_FEW:
            return f"Too few to tell{self._elsewhere}."
        if verdict is Verdict.NO_LEAN:
            return "No lean to be seen: as asked, give or take the spread."
        if not off:
            return f"{verdict.value.capitalize()}, but by less than a tape shows."
        way, more = ("short", "more") if verdict is Verdict.SHORT else ("over", "less")
        return f"Comes out {off} {way} at the seam: ask {off} {more} than is wanted."

    @property
    def _elsewhere(self) -> str:
        """What all seams together say where this one has too few cases."""
        off, count = _off(self.anywhere, self.unit), self.anywhere.count
        if not off or count == self.lean.count:
            return ""
        way = "short" if self.anywhere.verdict is Verdict.SHORT else "over"
        return f" here; over all seams it comes out {off} {way} ({count} measured)"


def _off(lean: Lean, unit: str) -> str:
    """By how much it comes out short or over, if it does and a tape shows it; else empty."""
    leans = lean.verdict in {Verdict.SHORT, Verdict.OVER}
    shows = bool(abs(lean.bias).rounded(unit, STEP[unit]))
    return told(abs(lean.bias), unit) if leans and shows else ""


@dataclass(frozen=True, slots=True)
class Told:
    """One case in words, of the garment of this number."""

    case: Case
    garment: str
    unit: str

    @property
    def name(self) -> str:
        return work_name(self.case.work)

    @property
    def asked(self) -> str:
        return told(self.case.asked, self.unit)

    @property
    def came(self) -> str:
        return told(self.case.came, self.unit)

    @property
    def off(self) -> str:
        return told(self.case.off, self.unit, signed=True)

    @property
    def points(self) -> str:
        kind = self.case.work.kind
        names = (cutting.finished_point(kind, key).called(side) for key, side in self.case.points)
        return ", ".join(names).lower()


@dataclass(frozen=True, slots=True)
class Afterwork:
    """Everything learnt, and the cases behind it, the newest first."""

    rows: tuple[Row, ...]
    told: tuple[Told, ...]
    mixed: int

    def row(self, key: str) -> Row | None:
        return next((row for row in self.rows if row.key == key), None)

    def of(self, row: Row | None) -> list[Told]:
        return [each for each in self.told if row is None or each.case.work == row.work]


def read_afterwork(unit: str) -> Afterwork:
    """Every work measured before and after, told in `unit`."""
    found: list[tuple[str, Case]] = []
    mixed = 0
    for number, cases, unclear in _by_garment():
        found += [(number, case) for case in cases]
        mixed += unclear
    all_cases = [case for _, case in found]
    leans, anywhere = leans_of(all_cases), leans_by_operation(all_cases)
    newest = sorted(found, key=lambda row: row[1].at, reverse=True)
    # What a cutter can act on comes first, what cannot be told yet last.
    order = (Verdict.SHORT, Verdict.OVER, Verdict.NO_LEAN, Verdict.TOO_FEW)
    ranked = sorted(leans.items(), key=lambda row: (order.index(row[1].verdict), row[0]))
    return Afterwork(
        rows=tuple(Row(work, lean, unit, anywhere[work.operation]) for work, lean in ranked),
        told=tuple(Told(case, number, unit) for number, case in newest),
        mixed=mixed,
    )


def leans_in_words(kind: str, operations: Collection[str], unit: str) -> Mapping[Place, str]:
    """What is said beside a work planned for this `kind`, by operation and seam, where it leans.

    Read from the garments that had one of these `operations`. Three queries, none without one.
    """
    if not operations:
        return {}
    kinds = [each for each in Kind.values if seams.read_as(each) == seams.read_as(kind)]
    had = Alteration.objects.filter(operation__in=operations, garment__kind__in=kinds)
    cases = [case for _, of, _ in _by_garment(had) for case in of]
    rows = (Row(work, lean, unit, lean) for work, lean in leans_of(cases).items())
    return {
        (row.work.operation, row.work.seam): f"{row.means[:-1]} ({row.lean.count} measured)."
        for row in rows
        if row.work.operation in operations and row.leans
    }


def _by_garment(
    had: QuerySet[Alteration] | None = None,
) -> Iterator[tuple[str, tuple[Case, ...], int]]:
    done, cuts = _done(had), _cut_again()
    measured = FinishedMeasure.objects.standing().filter(garment__in=list(done))
    columns = ("point", "side", "where", "value", "at")
    rows = measured.order_by("garment", "at", "pk").values_list(
        "garment", "garment__kind", "garment__number", *columns
    )
    for (pk, kind, number), of_garment in groupby(rows, key=itemgetter(0, 1, 2)):
        readings = [Reading(*row[3:]) for row in of_garment]
        found = cases_of(kind, readings, done[pk], cuts.get(pk, ()))
        yield number, found.cases, found.mixed


def _done(had: QuerySet[Alteration] | None) -> Mapping[int, list[Done]]:
    """What the bench said it did, by garment, of garments that were ever measured."""
    measured = FinishedMeasure.objects.filter(garment=OuterRef("revision__ticket__garment"))
    lines = TicketLine.objects.filter(
        Exists(measured),
        revision__answers__kind=Answer.Kind.DONE,
        revision__answers__struck_by__isnull=True,
        revision__answers__void=False,
        alteration__amount__isnull=False,
    )
    if had is not None:
        lines = lines.filter(alteration__garment__in=had.values("garment"))
    found: dict[int, list[Done]] = defaultdict(list)
    columns = ("alteration", *(f"alteration__{n}" for n in ("operation", "seam", "side", "amount")))
    for garment, *values in lines.values_list(
        "alteration__garment", *columns, "revision__answers__at"
    ):
        found[garment].append(Done(*values))
    return found


def _cut_again() -> Mapping[int, list[datetime.datetime]]:
    found: dict[int, list[datetime.datetime]] = defaultdict(list)
    for garment, at in Remake.objects.standing().exclude(piece="").values_list("replaces", "at"):
        found[garment].append(at)
    return found


def told(length: Length, unit: str, *, signed: bool = False) -> str:
    return length.text(unit, STEP[unit], signed=signed)


def finely(length: Length, unit: str, *, signed: bool = False) -> str:
    return length.text(*FINE[unit], signed=signed)


def work_name(work: Work) -> str:
    return seams.place_name(work.kind, work.operation, work.seam)
