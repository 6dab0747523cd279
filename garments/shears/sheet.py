"""The sheet the cutter works by: figure, targets with reasons, pattern changes, inlays to leave."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from customers import points
from customers.figure import Figure, read
from customers.lengths import Length
from customers.models import MeasurementSet
from customers.paper import render_paper
from customers.people import name_of
from customers.queries import unit_of
from garments import cutting, seams
from garments.aiming.queries import Aims, Line, WishLine, aims_of
from garments.carrying.queries import CarryLine, accepted_changes
from garments.models import Cloth, Garment, Stage
from garments.queries import inlay_table, inlays_of
from garments.shears import cloth
from garments.shears.queries import BeforeCut, before_cut, passed_lines
from garments.tickets import qr

Place = tuple[str, str]
EACH, IN_ALL = "each side", "in all"
SIDES: Final = {"L": "left side only", "R": "right side only"}
# Measured round one leg or one wrist, or written down by the half: never the whole garment.
ONE_OF_TWO: Final = frozenset({"cuff", "thigh", "knee", "calf", "bottom", "across-chest"})


@dataclass(frozen=True, slots=True)
class Amount:
    """A named amount and on which side it is meant: ``32 in`` ``each side``."""

    name: str
    text: str
    meant: str


@dataclass(frozen=True, slots=True)
class Aimed:
    """A finished measure: what is aimed at on which side, how far it may be off, and why."""

    name: str
    text: str
    meant: str
    span: str
    why: str


@dataclass(frozen=True, slots=True)
class Inlay:
    """What to leave at one seam, with the words each side or in all."""

    seam: str
    amount: str
    meant: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """One garment's sheet, in words. ``row`` and ``figure`` are None before the first measures."""

    garment: Garment
    row: MeasurementSet | None
    unit: str
    taken: list[Amount]
    aimed: list[Aimed]
    wishes: list[tuple[WishLine, str]]
    open: list[str]
    figure: Figure | None
    aims: Aims
    changes: list[CarryLine]
    warnings: list[str]
    passed: list[tuple[str, str]]
    inlays: list[Inlay]
    piece: list[str]
    printed_on: datetime.date
    qr: SafeString


def sheet_of(garment: Garment, row: MeasurementSet | None, address: str) -> Sheet:
    """What the sheet of a garment says when it is cut from a set; ``address`` leads to its page.

    ``garment`` comes with customer, cut version and cut, ``row`` with its measurements.
    """
    unit = unit_of(garment.customer)
    measures = dict(row.lengths()) if row else {}
    page = before_cut(garment, row, unit) if row else None
    aims = page.aims if page else aims_of(garment, unit, measures)
    return Sheet(
        garment=garment,
        row=row,
        unit=unit,
        taken=list(_taken(garment.kind, measures, unit)),
        aimed=list(_aimed(aims)),
        wishes=[(wish, _wish_meant(garment.kind, wish)) for wish in aims.wishes],
        open=_open(garment, page),
        figure=read(measures, unit=unit) if row else None,
        aims=aims,
        changes=accepted_changes(garment, unit),
        warnings=_warnings(garment, row, page),
        passed=[
            (entry.told, f"{name_of(entry.by)}: {entry.reason}")
            for entry in (passed_lines(garment, row) if row else ())
        ],
        inlays=_inlays(garment, unit),
        piece=[
            garment.cloth,
            garment.get_cloth_pattern_display(),
            *cloth.Piece.of(vars(garment)).told(unit),
        ],
        printed_on=timezone.localdate(),
        qr=qr(address),
    )


def print_sheet(garment: Garment, row: MeasurementSet | None, address: str) -> bytes:
    """The PDF of the sheet, A4."""
    html = render_to_string(
        "garments/cutter_sheet.html", {"sheet": sheet_of(garment, row, address)}
    )
    return render_paper(html, "print/cutter.css")


def _taken(kind: str, measures: Mapping[Place, Length], unit: str) -> Iterable[Amount]:
    """The measures this kind is cut by; both sides as one where they were taken alike."""
    for point in points.for_garments(kind):
        values = [(side, measures.get((point.key, side))) for side in point.sides]
        told = [(side, value.text(unit)) for side, value in values if value is not None]
        both = len(told) == 2  # noqa: PLR2004 - left and right
        if both and told[0][1] == told[1][1]:
            yield Amount(point.name, told[0][1], EACH)
        else:
            for side, text in told:
                yield Amount(point.name, text, _meant(point.key, side))


def _meant(point: str, side: str) -> str:
    return SIDES.get(side) or (EACH if point in ONE_OF_TWO else IN_ALL)


def _aimed(aims: Aims) -> Iterable[Aimed]:
    """The targets; left and right as one where all of it, the reason too, is the same."""
    by_point: dict[str, list[Line]] = {}
    for line in aims.lines:
        if line.target:
            by_point.setdefault(line.point.key, []).append(line)
    for key, lines in by_point.items():
        whys = {_without_side(line.why) for line in lines}
        alike = len(lines) > 1 and len({line.aimed for line in lines}) == len(whys) == 1
        for line in lines[:1] if alike else lines:
            why = whys.pop() if alike else line.why
            side = EACH if alike else _meant(key, line.side)
            yield Aimed(line.point.name, line.aimed, side, line.span, why)


def _without_side(text: str) -> str:
    return text.replace(", left", "").replace(", right", "")


def _wish_meant(kind: str, wish: WishLine) -> str:
    point = cutting.finished_point(kind, wish.wish.point)
    return EACH if point.sided else _meant(point.key, "")


def _open(garment: Garment, page: BeforeCut | None) -> list[str]:
    """What forbids to cut by this paper; nothing once it is cut."""
    if page is None:
        return ["No measures yet: nothing can be aimed at."]
    whole = garment.stage == Stage.ORDERED and garment.measurement_set_id is None
    return [f"{line.title}: {line.words}" for line in page.open] if whole else []


def _warnings(garment: Garment, row: MeasurementSet | None, page: BeforeCut | None) -> list[str]:
    """What was said to be right all the same, what changed since the set, what the cloth asks."""
    if row is None or page is None:
        return []
    found = [
        f"{each.question} As the tape said: {each.by_whom}."
        for each in page.asked
        if each.confirmed
    ]
    if garment.measurement_set_id and (since := page.find("changed")):
        found.append(since.words)
    if garment.cloth_pattern != Cloth.PLAIN:
        found.append(f"{garment.get_cloth_pattern_display().capitalize()}: match at the seams.")
    return found


def _inlays(garment: Garment, unit: str) -> list[Inlay]:
    told = []
    table = inlay_table(garment, inlays_of(garment), unit)
    for seam in {place.seam.key: place.seam for place in table}.values():
        here = {place.side: place.now for place in table if place.seam.key == seam.key}
        alike = len(set(here.values())) == 1
        if alike:
            meant = (
                "each side" if seam.sided else "each side of the seam" if seam.halves else "in all"
            )
            told.append(Inlay(seam.name, next(iter(here.values())).text(unit), meant))
        else:
            told += [
                Inlay(seam.name, now.text(unit), f"{seams.SIDE_NAMES[side]} side only")
                for side, now in here.items()
            ]
    return told
