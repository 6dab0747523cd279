"""What the figure and the garment's own measures say of causes before anything is seen.

Read from `data/leanings.toml`: a finding makes a cause likelier or less likely by one of four
named steps. Which way is the sources'; how far is common practice, no source.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from customers.figure import Figure
from customers.lengths import Length
from fittings.catalogue import read_as
from garments import cutting

# The one place where these words become numbers: by how much a cause's odds are multiplied.
STEPS: Final = {
    "much likelier": 4.0,
    "likelier": 2.0,
    "less likely": 0.5,
    "much less likely": 0.25,
}
FILE: Final = Path(__file__).parent / "data" / "leanings.toml"
SLEEVES: Final = "sides-sleeve-to-cuff"

Place = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Leaning:
    """One finding that moves the odds of one cause; `words` say the finding."""

    cause: str
    step: str
    words: str
    source: str

    @property
    def factor(self) -> float:
        return STEPS[self.step]


def leanings(
    kind: str, figure: Figure | None = None, measures_out: Mapping[Place, Length] | None = None
) -> tuple[Leaning, ...]:
    """What they make likelier or less likely, each once.

    `measures_out`: by (point, side) of the finished garment, how far over its target, below
    nothing when under; as `garments.cutting.compare` gives it.
    """
    found = [*_of_figure(figure), *_of_measures(kind, measures_out or {})]
    # Two sleeves short say no more than one of them: the second would count the same twice.
    return tuple({(row.cause, row.step, row.source, row.words): row for row in found}.values())


def _of_figure(figure: Figure | None) -> Iterator[Leaning]:
    said = dict(_said(figure)) if figure else {}
    for row in _rows()["figure"]:
        if row["says"] in said:
            for cause, step in row["makes"].items():
                yield Leaning(cause, step, said[row["says"]], row["source"])


def _said(figure: Figure) -> Iterator[tuple[str, str]]:
    """The figure's findings by the names the file knows, in its own words."""
    for finding in figure.findings:
        amount = finding.amount or Length()
        if finding.key == "drop" and amount < Length():
            yield "corpulent", finding.words
        elif finding.key == "sides-over-shoulder":
            lower = "left" if amount > Length() else "right"
            yield f"{lower}-shoulder-lower", finding.words
        elif finding.key == SLEEVES:
            yield "sleeves-differ", finding.words
        else:
            yield finding.key, finding.words
    for slope in ("sloping", "square"):
        # One side alone is a low shoulder, and that is told by the two sides compared.
        if {f"{slope}-L", f"{slope}-R"} <= set(figure.keys):
            yield slope, f"Both shoulders are {slope}."


def _of_measures(kind: str, out: Mapping[Place, Length]) -> Iterator[Leaning]:
    for row in _rows()["measured"]:
        if read_as(kind) not in row["kinds"]:
            continue
        for (point, _side), length in out.items():
            if point != row["point"] or not length:
                continue
            way = "over" if length > Length() else "under"
            name = next(each.name for each in cutting.POINTS[kind] if each.key == point)
            for cause, step in row[way].items():
                yield Leaning(cause, step, f"{name} measures {way} its target.", row["source"])


@cache
def _rows() -> dict[str, list[dict[str, Any]]]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))
