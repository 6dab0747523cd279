"""A plan in words: why each line, and what it comes to."""

from collections.abc import Collection, Sequence

from customers.lengths import Length
from garments import seams
from garments.planning.rows import NOTHING, Deviation, PlanLine

_NAMES = {s.key: s.name for kind in seams.KINDS for s in seams.seams(kind)}


def seam_name(key: str) -> str:
    return _NAMES[key]


def told(length: Length, unit: str) -> str:
    return length.text(unit, 0.125 if unit == "in" else 0.1)


def measure_words(row: Deviation, found: Length, unit: str) -> str:
    """`Waist 36 1/2 in: 1/2 in under its target of 37 in.`"""
    out = found - row.target
    way = "over" if out > NOTHING else "under"
    where = f"{told(abs(out), unit)} {way} its target of" if out else "on its target of"
    return f"{row.called} {told(found, unit)}: {where} {told(row.target, unit)}."


def line_why(line: PlanLine, deviations: Collection[Deviation], unit: str) -> str:
    """What the line does for the measures that were out, what else it moves, and its place."""
    by_place = {row.place: row for row in deviations}
    said = []
    for place, given in line.gives.items():
        row = by_place.get(place)
        if row and given:
            came = f"{told(row.found, unit)}, wanted {told(row.target, unit)}"
            sign = "gains" if given > NOTHING else "loses"
            said.append(f"{row.called} was {came}: {sign} {told(abs(given), unit)}.")
    if line.pinned:
        said.insert(0, "Pinned at the fitting.")
    return " ".join([*said, seams.operation(line.operation).reason])


def plan_why(
    lines: Sequence[PlanLine], seams_opened: int, minutes: int, deviations: Collection[Deviation]
) -> tuple[str, ...]:
    if not lines:
        out = [row for row in deviations if row.beyond(row.found)]
        return ("Nothing can be done by altering." if out else "Every measure is in order.",)
    opened = "1 seam is" if seams_opened == 1 else f"{seams_opened} seams are"
    return (f"{opened} opened: the fewest that do it, in {minutes} minutes.",)
