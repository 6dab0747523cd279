"""A seam, and the errors of an unknown key."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from customers.lengths import Length, parse

KINDS: Final = ("coat", "waistcoat", "trousers", "overcoat")
SIDES: Final = ("L", "R", "both", "")
SIDE_NAMES: Final = MappingProxyType({"L": "left", "R": "right", "both": "both sides", "": ""})
DATA: Final = Path(__file__).parent / "data"
NOTHING: Final = Length(0)


class UnknownKeyError(KeyError):
    """A key the tables do not hold; the message is a sentence, without KeyError's quotes."""

    def __str__(self) -> str:
        return str(self.args[0])


class UnknownKindError(UnknownKeyError):
    """No such garment kind."""


class UnknownSeamError(UnknownKeyError):
    """The garment has no such seam."""


class UnknownOperationError(UnknownKeyError):
    """No such operation."""


def read_as(kind: str) -> str:
    """The kind whose rows a garment goes by."""
    return "coat" if kind == "overcoat" else kind


@dataclass(frozen=True, slots=True)
class Seam:
    """A seam of one kind of garment. `inlay` is what is normally left, None where there is none."""

    key: str
    name: str
    sided: bool
    halves: bool
    inlay: Length | None
    keep: Length
    source: str

    @property
    def holds_inlay(self) -> bool:
        return self.inlay is not None

    @property
    def sides(self) -> tuple[str, ...]:
        """The places an inlay is kept for: left and right, or the one seam."""
        return ("L", "R") if self.sided else ("",)

    def usable(self, left: Length) -> Length:
        """Of the inlay `left`, what can still be let out; what must stay inside is taken off."""
        return max(left - self.keep, NOTHING)


def seams(kind: str) -> tuple[Seam, ...]:
    """The seams of a garment, in the order it is read."""
    return tuple(SEAMS[known_kind(kind)].values())


def seam(kind: str, key: str) -> Seam:
    try:
        return SEAMS[known_kind(kind)][key]
    except KeyError:
        raise UnknownSeamError(f"A {kind} has no seam called “{key}”.") from None


def normal_inlays(kind: str) -> dict[tuple[str, str], Length]:
    """The inlay normally left, by (seam key, side); seams that hold none are not in it."""
    return {(s.key, side): s.inlay for s in seams(kind) if s.inlay for side in s.sides}


def known_kind(kind: str) -> str:
    if kind not in KINDS:
        raise UnknownKindError(f"There is no garment kind called “{kind}”.")
    return kind


def read_data(name: str) -> dict[str, Any]:
    return tomllib.loads((DATA / name).read_text(encoding="utf-8"))


def _read_seam(row: Mapping[str, Any]) -> Seam:
    return Seam(
        key=row["key"],
        name=row["name"],
        sided=row.get("sided", False),
        halves=row.get("halves", False),
        inlay=parse(row["inlay"]) if "inlay" in row else None,
        keep=parse(row["keep"]) if "keep" in row else NOTHING,
        source=row["source"],
    )


def _read_seams() -> dict[str, dict[str, Seam]]:
    tables = {
        kind: {row["key"]: _read_seam(row) for row in rows}
        for kind, rows in read_data("seams.toml").items()
    }
    tables["overcoat"] = tables["coat"] | tables["overcoat"]
    return tables


SEAMS: Final = _read_seams()
HALVED: Final = frozenset(s.key for rows in SEAMS.values() for s in rows.values() if s.halves)
SIDED: Final = frozenset(s.key for rows in SEAMS.values() for s in rows.values() if s.sided)
