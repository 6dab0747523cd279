"""What is asked about garments."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from django.contrib.auth.models import User
from django.db.models import OuterRef, Prefetch, QuerySet, Subquery, Sum

from customers.ledger import LedgerQuerySet
from customers.lengths import Length
from customers.models import Customer, MeasurementSet
from garments import seams
from garments.models import Cut, CutVersion, Garment, InlayMovement

CUTTING = ("fitter", "owner")  # the roles whose people cut


Places = Mapping[tuple[str, str], Length]


def inlays_of(garment: Garment) -> dict[tuple[str, str], Length]:
    """The inlay now in each seam, by (seam key, side): the sum of its movements. One query."""
    movements = InlayMovement.objects.standing().filter(garment=garment)
    rows = movements.order_by().values_list("seam", "side").annotate(now=Sum("amount"))
    return {(seam, side): now for seam, side, now in rows}


def inlays_from(movements: Iterable[InlayMovement]) -> dict[tuple[str, str], Length]:
    """The same from movements that stand, already read."""
    now: dict[tuple[str, str], Length] = {}
    for movement in movements:
        place = movement.seam, movement.side
        now[place] = now.get(place, Length(0)) + movement.amount
    return now


def cutters() -> QuerySet[User]:
    """The people who cut and may sign in, by name."""
    people = User.objects.filter(is_active=True, groups__name__in=CUTTING)
    return people.order_by("first_name", "last_name", "pk").distinct()


def newest_versions(kind: str = "") -> QuerySet[CutVersion]:
    """The newest version of every cut in use, of one kind of garment or of all."""
    later = CutVersion.objects.filter(cut=OuterRef("cut")).order_by("-version")
    rows = CutVersion.objects.filter(cut__retired=False, pk=Subquery(later.values("pk")[:1]))
    if kind:
        rows = rows.filter(cut__kind=kind)
    return rows.select_related("cut")


def cuts_with_versions() -> QuerySet[Cut]:
    """Every cut, in use first, with its versions newest first. Two queries."""
    versions = CutVersion.objects.order_by("-version")
    return Cut.objects.order_by("retired", "kind", "name").prefetch_related(
        Prefetch("versions", queryset=versions)
    )


def sets_to_cut_from(customer: Customer) -> LedgerQuerySet[MeasurementSet]:
    """A customer's standing sets, newest first, each with its measures."""
    rows = MeasurementSet.objects.standing().filter(customer=customer)
    newest_first = rows.order_by("-taken_on", "-at")
    return newest_first.select_related("taken_by", "customer").prefetch_related("measurements")


@dataclass(frozen=True, slots=True)
class Inlay:
    """One place an inlay is kept: what is normally left there, by which source, and what is now.

    ``usable`` is what may still be let out: what must stay inside the seam is taken off.
    """

    seam: seams.Seam
    side: str
    now: Length
    unit: str

    @property
    def name(self) -> str:
        """The seam and, where there are two, which."""
        return f"{self.seam.name} {self.side_name}".strip()

    @property
    def side_name(self) -> str:
        return seams.SIDE_NAMES[self.side]

    @property
    def now_text(self) -> str:
        return self.now.text(self.unit)

    @property
    def normal_text(self) -> str:
        return (self.seam.inlay or Length(0)).text(self.unit)

    @property
    def usable(self) -> Length:
        return self.seam.usable(self.now)

    @property
    def told(self) -> str:
        """``3/4 in (1/2 in)``: what is there, and of it what may be let out."""
        return f"{self.now_text} ({self.usable.text(self.unit)})"

    @property
    def changed(self) -> bool:
        """Whether it differs from what is normally left."""
        return self.now != self.seam.inlay

    @property
    def field(self) -> str:
        """What the place is called in a form."""
        return f"{self.seam.key}-{self.side}".rstrip("-")


def by_seam(places: Iterable[Inlay]) -> list[tuple[seams.Seam, list[Inlay]]]:
    """The places of each seam together: left and right, or the one there is."""
    grouped = groupby(places, key=attrgetter("seam"))
    return [(seam, list(its_places)) for seam, its_places in grouped]


def inlay_table(garment: Garment, now: Places, unit: str) -> list[Inlay]:
    """Every place of a garment that holds an inlay, in the order it is read.

    ``now`` is what is in each place, as ``inlays_of`` tells; a place it leaves out holds nothing.
    """
    return [
        Inlay(seam=seam, side=side, now=now.get((seam.key, side), Length(0)), unit=unit)
        for seam in seams.seams(garment.kind)
        if seam.holds_inlay
        for side in seam.sides
    ]
