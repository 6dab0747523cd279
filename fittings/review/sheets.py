"""Tables of the review that page, paper and file show alike, number by number.

A share is rounded once, to a tenth of a per cent: page and paper print that, the file holds it as a
fraction of one.
"""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field

NONE = "–"
MOST_UNFOLDED = 14


@dataclass(frozen=True, slots=True)
class Share:
    """A rate in 0..1, or None where there is none to tell."""

    value: float | None

    def __str__(self) -> str:
        return NONE if self.value is None else f"{self.value * 100:.1f} %"

    @property
    def number(self) -> float | None:
        return None if self.value is None else round(float(f"{self.value * 100:.1f}") / 100, 3)


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in the house's currency, to the hundredth."""

    value: float

    def __str__(self) -> str:
        return f"{self.value:,.2f}"

    @property
    def number(self) -> float:
        return round(self.value, 2)


@dataclass(frozen=True, slots=True)
class Tenths:
    """Any other number that is shown to one place, such as days."""

    value: float

    def __str__(self) -> str:
        return f"{self.value:.1f}"

    @property
    def number(self) -> float:
        return float(str(self))


Plain = str | int | float | None
SheetCell = Plain | Share | Money | Tenths


def _words(cell: SheetCell) -> bool:
    return isinstance(cell, str) and any(map(str.isalpha, cell))


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table with its key; ``links`` holds, line by line, where the garments behind it stand.

    ``drawn_as`` is a name that no other table has, under which its drawing is kept.
    """

    key: str
    caption: str
    columns: Sequence[str]
    lines: Sequence[Sequence[SheetCell]]
    links: Sequence[str] = field(default_factory=tuple)
    drawn_as: str = field(default_factory=lambda: uuid.uuid4().hex, compare=False)

    @property
    def long(self) -> bool:
        """Whether the page folds it away at first."""
        return len(self.lines) > MOST_UNFOLDED

    @property
    def shown(self) -> list[tuple[list[str], str]]:
        """Each line as page and paper print it, with its link or nothing."""
        links = [*self.links, *[""] * (len(self.lines) - len(self.links))]
        return [
            ([NONE if cell is None else str(cell) for cell in line], link)
            for line, link in zip(self.lines, links, strict=True)
        ]

    @property
    def unlinked(self) -> list[tuple[list[str], str]]:
        """The same without a link: on paper a line leads nowhere."""
        return [(line, "") for line, _ in self.shown]

    @property
    def worded(self) -> tuple[bool, ...]:
        """Of each column whether it holds words; days and months are numbers to the eye."""
        if not self.lines:
            return (False,) * len(self.columns)
        return tuple(any(map(_words, cells)) for cells in zip(*self.lines, strict=True))

    @property
    def headings(self) -> list[tuple[str, bool]]:
        """Each column with whether it holds words."""
        return list(zip(self.columns, self.worded, strict=True))

    @property
    def number_columns(self) -> Sequence[str]:
        return self.columns

    @property
    def number_lines(self) -> list[list[Plain]]:
        """The same as plain numbers, for a file."""
        return [
            [cell.number if isinstance(cell, Share | Money | Tenths) else cell for cell in line]
            for line in self.lines
        ]
