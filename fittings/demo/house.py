"""The invented house itself: who works there, in which rooms, by which cuts."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group, User

from customers.lengths import Length
from customers.models import House
from fittings.config.access import FITTER, FRONT, OWNER, WORKROOM
from fittings.models import Room
from garments import cutting
from garments.models import Cut, CutVersion, Kind

NAME: Final = "Quorrow & Thrinmere, tailors"
ADDRESS: Final = "3 Bobbin Row\nOmbershaw"
PASSWORD: Final = "chalk-and-thread"  # noqa: S105 - of people who do not exist, and printed
ROOMS: Final = ("Front room", "Mirror room", "Quiet room")


@dataclass(frozen=True, slots=True)
class Hand:
    """Someone who works there. They sign in by their given name."""

    given: str
    family: str
    role: str

    @property
    def username(self) -> str:
        return self.given.lower()


STAFF: Final = (
    Hand("Merrin", "Quorrow", OWNER),
    Hand("Lorrith", "Fallowmere", FRONT),
    Hand("Tambwin", "Eskgarth", FITTER),
    Hand("Orrin", "Drumcote", FITTER),
    Hand("Vostan", "Hobthwick", FITTER),
    Hand("Seffor", "Pellrow", WORKROOM),
    Hand("Haskeck", "Grintlode", WORKROOM),
    Hand("Yarreth", "Mottwend", WORKROOM),
)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A house cut: the kinds it is for, and how many days ago each version was made, and why.

    Its figures are those of the cut called ``start``; ``before`` has inches of ease by point that
    the versions before the last one had more.
    """

    name: str
    start: str
    kinds: tuple[Kind, ...]
    versions: tuple[tuple[int, str], ...]
    before: Mapping[str, float] = field(default_factory=dict)

    def figures(self, kind: Kind, *, newest: bool) -> dict[str, Any]:
        """The data of a version for one kind of garment."""
        cut = cutting.house_cut(self.start, kind)
        more = {} if newest else {k: Length.inches(v) for k, v in self.before.items()}
        moved = {key: _with_ease(aim, more[key]) for key, aim in cut.points.items() if key in more}
        return cutting.data_of(replace(cut, points={**cut.points, **moved}))


def _with_ease(aim: cutting.Aim, more: Length) -> cutting.Aim:
    ease, least, most = (length + more for length in (aim.ease, aim.least, aim.most))
    return replace(aim, ease=ease, least=least, most=most)


# A drape cut, a close cut and a soft-shoulder cut. The close cut's first version is the flawed one.
PATTERNS: Final = (
    Pattern(
        "Heron",
        "drape",
        (Kind.COAT, Kind.OVERCOAT, Kind.WAISTCOAT, Kind.TROUSERS),
        ((1500, "Drape: room over chest and blades, waist well marked."),),
    ),
    Pattern(
        "Wren",
        "close",
        (Kind.COAT, Kind.WAISTCOAT, Kind.TROUSERS),
        (
            (1300, "Close: short, near the body all round."),
            (400, "Back and shoulder widened: too many of version 1 were cut again."),
        ),
        {"back-width": -0.5, "shoulder": -0.25},
    ),
    Pattern(
        "Otter",
        "soft-shoulder",
        (Kind.COAT, Kind.OVERCOAT, Kind.TROUSERS),
        (
            (1400, "Soft shoulder: no pad, little canvas, straight hang."),
            (700, "Front balance shortened by 1/4 in."),
        ),
        {"front-balance": 0.25},
    ),
)


@dataclass(frozen=True)
class Staff:
    """The people of the house by their work, in the order above."""

    owner: User
    front: User
    fitters: tuple[User, ...]
    hands: tuple[User, ...]


def open_house() -> tuple[Staff, tuple[Room, ...]]:
    """Write the house's settings, its people and its rooms."""
    house = House.get()
    house.name, house.address = NAME, ADDRESS
    house.save()
    kept = make_password(PASSWORD)  # made once: it is made to be slow, and the same for all
    people = {hand.username: _sign_on(hand, kept) for hand in STAFF}
    by_role = {role: [h for h in STAFF if h.role == role] for role in (FITTER, WORKROOM)}
    staff = Staff(
        owner=people[STAFF[0].username],
        front=people[STAFF[1].username],
        fitters=tuple(people[hand.username] for hand in by_role[FITTER]),
        hands=tuple(people[hand.username] for hand in by_role[WORKROOM]),
    )
    return staff, tuple(Room.objects.create(name=name) for name in ROOMS)


def _sign_on(hand: Hand, password: str) -> User:
    person = User.objects.create(
        username=hand.username, first_name=hand.given, last_name=hand.family, password=password
    )
    person.groups.add(Group.objects.get(name=hand.role))
    return person


def lay_out_cuts(today: datetime.date) -> Mapping[str, tuple[CutVersion, ...]]:
    """Write the cuts; the versions by kind, oldest first."""
    found: dict[str, list[CutVersion]] = {kind: [] for kind in Kind}
    for pattern in PATTERNS:
        for kind in pattern.kinds:
            cut = Cut.objects.create(name=pattern.name, kind=kind)
            for number, (days, note) in enumerate(pattern.versions, start=1):
                made_on = today - datetime.timedelta(days=days)
                figures = pattern.figures(kind, newest=number == len(pattern.versions))
                version = CutVersion.objects.create(
                    cut=cut, version=number, note=note, made_on=made_on, data=figures
                )
                found[kind].append(version)
    return {kind: tuple(versions) for kind, versions in found.items()}


def in_use(
    versions: Iterable[CutVersion], day: datetime.date, cut: Cut | None = None
) -> tuple[CutVersion, ...]:
    """Of every cut, or of one, the version that was the newest on ``day``."""
    newest = {row.cut_id: row for row in versions if row.made_on <= day}
    return tuple(row for row in newest.values() if cut is None or row.cut_id == cut.pk)
