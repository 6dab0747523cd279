"""The points measured on a finished garment: plain data, read once from `data/finished.toml`."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Final

from customers.lengths import Length

DATA: Final = Path(__file__).parent / "data"
SIDE_WORDS: Final = MappingProxyType({"L": "left", "R": "right", "": ""})


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedPoint:
    """One measure of a finished garment. `zone` is where a fitting looks at it.

    `less` and `more` name the wish that makes it smaller or larger, as the house says it.
    """

    key: str
    name: str
    how: str
    zone: str
    less: str
    more: str
    sided: bool = False

    @property
    def sides(self) -> tuple[str, ...]:
        return ("L", "R") if self.sided else ("",)

    def called(self, side: str) -> str:
        """`Sleeve, left`."""
        return f"{self.name}, {SIDE_WORDS[side]}" if side else self.name

    def wish(self, by: Length) -> str:
        """`more linen`: what a change of it by so much is called."""
        return self.less if by < Length(0) else self.more


def _read() -> Mapping[str, tuple[FinishedPoint, ...]]:
    rows = tomllib.loads((DATA / "finished.toml").read_text(encoding="utf-8"))
    points = {
        kind: tuple(FinishedPoint(**row) for row in of_kind) for kind, of_kind in rows.items()
    }
    return MappingProxyType({**points, "overcoat": points["coat"]})


POINTS: Final = _read()
_BY_KEY: Final = {(kind, point.key): point for kind, of in POINTS.items() for point in of}


def finished_point(kind: str, key: str) -> FinishedPoint:
    """KeyError for a point this kind of garment does not have."""
    return _BY_KEY[kind, key]
