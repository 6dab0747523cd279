"""The sheet the cutter works by: figure, targets with reasons, pattern changes, inlays to leave."""

import datetime
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from customers import points
from customers.change import changed_together
from customers.figure import Figure, read
from customers.lengths import Length
from customers.models import MeasurementSet
from customers.paper import render_paper
from customers.queries import before_and_since, unit_of
from garments import seams
from garments.aiming.queries import Aims, aims_of
from garments.carrying.queries import CarryLine, accepted_changes
from garments.models import Cloth, Garment, Stage
from garments.queries import inlay_table, inlays_of
from garments.shears import cloth
from garments.shears.queries import BeforeCut, before_cut, passed_lines
from garments.tickets import qr


@dataclass(frozen=True, slots=True)
class Inlay:
    """What to leave at one seam, with the words each side or in all; how much must stay inside."""

    seam: str
    amount: str
    meant: str
    keep: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """One garment's sheet, in words. ``row`` and ``figure`` are None before the first measures."""

    garment: Garment
    row: MeasurementSet | None
    unit: str
    taken: list[tuple[str, str]]
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
    page = before_cut(garment, row, unit) if row and garment.stage == Stage.ORDERED else None
    return Sheet(
        garment=garment,
        row=row,
        unit=unit,
        taken=_taken(garment.kind, measures, unit),
        figure=read(measures, unit=unit) if row else None,
        aims=page.aims if page else aims_of(garment, unit, measures),
        changes=accepted_changes(garment, unit),
        warnings=_warnings(garment, row, page, unit),
        passed=[
            (entry.told, f"{entry.by.get_full_name() or entry.by.get_username()}: {entry.reason}")
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


def _taken(kind: str, measures: dict[tuple[str, str], Length], unit: str) -> list[tuple[str, str]]:
    """The measures this kind is cut by, left and right on one line where they differ."""
    told = []
    for point in points.for_garments(kind):
        by_side = {side: measures.get((point.key, side)) for side in point.sides}
        texts = {side: value.text(unit) for side, value in by_side.items() if value is not None}
        if not texts:
            continue
        alike = len(texts) == len(by_side) and len(set(texts.values())) == 1
        words = (
            next(iter(texts.values()))
            if alike
            else ", ".join(f"{seams.SIDE_NAMES[side]} {text}" for side, text in texts.items())
        )
        told.append((point.name, f"{words} each side" if alike and len(texts) > 1 else words))
    return told


def _warnings(
    garment: Garment, row: MeasurementSet | None, page: BeforeCut | None, unit: str
) -> list[str]:
    """What is open before the shears, what changed since the set, what the cloth asks."""
    if row is None:
        return ["No measures yet: nothing can be aimed at."]
    found = [f"{line.title}: {line.words}" for line in page.open] if page else []
    before, since = before_and_since(row)
    named = {point.key: point.name for point in points.for_garments(garment.kind)}
    mine = {place: length for place, length in before.items() if place[0] in named}
    for (point, side), change in changed_together(mine, since, unit=unit).items():
        where = " ".join(filter(None, [named[point], seams.SIDE_NAMES[side]]))
        found.append(f"Measured again since: {where}, {change.words}.")
    if garment.cloth_pattern != Cloth.PLAIN:
        found.append(f"{garment.get_cloth_pattern_display().capitalize()}: match at the seams.")
    return found


def _inlays(garment: Garment, unit: str) -> list[Inlay]:
    told = []
    table = inlay_table(garment, inlays_of(garment), unit)
    for seam in {place.seam.key: place.seam for place in table}.values():
        here = {place.side: place.now for place in table if place.seam.key == seam.key}
        keep = seam.keep.text(unit) if seam.keep else ""
        alike = len(set(here.values())) == 1
        if alike:
            meant = (
                "each side" if seam.sided else "each side of the seam" if seam.halves else "in all"
            )
            told.append(Inlay(seam.name, next(iter(here.values())).text(unit), meant, keep))
        else:
            told += [
                Inlay(seam.name, now.text(unit), f"{seams.SIDE_NAMES[side]} side only", keep)
                for side, now in here.items()
            ]
    return told
