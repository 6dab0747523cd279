"""Alterations that spoil one another, told before the ticket is written.

    conflicts(kind, lines) -> (Conflict, ...)

Two that work against each other; one that moves what another sets (`disturbing.toml`, and for
work already done the order of working: what comes before it moves it); one seam altered at three
fittings in a row. Pure: lines are anything with `operation`, `seam` and `side`.
"""

import tomllib
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from pathlib import Path
from typing import Any, Final, Protocol

from garments import seams
from garments.cutting.finished import POINTS

AGAINST, MOVES, THRICE = "against", "moves", "thrice"
LOOKED_BACK: Final = 2  # fittings before this one


class Work(Protocol):
    """What is asked of a line."""

    @property
    def operation(self) -> str: ...
    @property
    def seam(self) -> str: ...
    @property
    def side(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Conflict:
    """One thing to settle first. `lines` are those concerned, as given.

    `places` are the finished measures two lines are at odds over, where that alone is the matter:
    where the measure comes out right, each may be meant to make up for the other.
    """

    sort: str
    words: str
    source: str
    lines: tuple[Any, ...]
    places: tuple[tuple[str, str], ...] = ()


def conflicts(
    kind: str, lines: Iterable[Work], *, earlier: Sequence[Collection[Work]] = ()
) -> tuple[Conflict, ...]:
    """All conflicts among `lines`, and with the work of `earlier` fittings, the newest last.

    Each pair is told once: what undoes it before what moves it. A line whose operation or seam
    the kind has not is passed over: whoever keeps lines has refused it.
    """
    now = [line for line in lines if _known(kind, line)]
    pairs = (_of_two(kind, one, other) for one, other in combinations(now, 2))
    return (
        *(told for told in pairs if told),
        *_of_done(kind, now, earlier[-1] if earlier else ()),
        *_thrice(kind, now, earlier[-LOOKED_BACK:]),
    )


def _known(kind: str, line: Work) -> bool:
    return (kind, line.operation, line.seam) in seams.EFFECTS


def _meet(one: Work, other: Work) -> bool:
    """Whether the two are on a common side; a line without a side works at both."""
    whole = {"both", ""}
    return bool(whole & {one.side, other.side}) or one.side == other.side


def _of_two(kind: str, one: Work, other: Work) -> Conflict | None:
    if not _meet(one, other):
        return None
    named = other.operation in seams.operation(one.operation).against
    at_odds = _at_odds(kind, one, other)
    return _undone(kind, one, other) or (named and at_odds) or _moving(kind, one, other) or at_odds


def _undone(kind: str, one: Work, other: Work) -> Conflict | None:
    """At one seam, the one lets out what the other takes in, or is named as what undoes it."""
    op, opposite = seams.operation(one.operation), seams.operation(other.operation)
    ways = {op.inlay, opposite.inlay} == {seams.USES, seams.FREES}
    if one.seam != other.seam or not (ways or opposite.key in op.against):
        return None
    names = f"{_called(kind, one)} and {_called(kind, other).lower()}"
    words = f"{names} work against each other at one seam: keep one of them."
    return Conflict(AGAINST, words, "worked out by arithmetic", (one, other))


def _at_odds(kind: str, one: Work, other: Work) -> Conflict | None:
    """The two move one finished measure in opposite ways."""
    moved, back = (seams.moves(kind, line.operation, line.seam, line.side) for line in (one, other))
    opposed = [place for place in moved if moved[place] * back.get(place, 0) < 0]
    if not opposed:
        return None
    names = f"{_called(kind, one)} and {_called(kind, other).lower()}"
    points = ", ".join(dict.fromkeys(_point(kind, place[0]) for place in opposed))
    words = f"{names}: one gives to the {points} what the other takes."
    return Conflict(AGAINST, words, "worked out by arithmetic", (one, other), tuple(opposed))


def _moving(kind: str, one: Work, other: Work) -> Conflict | None:
    for row in _ROWS:
        if kind not in row["kinds"]:
            continue
        for mover, moved in permutations((one, other)):
            if _fits(mover, row["moves"]) and _fits(moved, row["sets"]):
                names = f"{_called(kind, mover)}, then {_called(kind, moved).lower()}"
                return Conflict(MOVES, f"{names}. {row['words']}", row["source"], (mover, moved))
    return None


def _of_done(kind: str, now: Sequence[Work], done: Collection[Work]) -> Iterator[Conflict]:
    """What is asked for now moves work of the fitting before, which should have come after it."""
    for line in now:
        moved = []
        for old in done:
            if not _known(kind, old) or not _meet(line, old):
                continue
            later = seams.operation(old.operation)
            row = _moving(kind, line, old)
            if line.operation in later.after or (row and row.lines[0] is line):
                moved.append(old)
        if moved:
            names = " and ".join(dict.fromkeys(_called(kind, old).lower() for old in moved))
            words = f"{_called(kind, line)} moves what the last fitting set: {names}. Look again."
            source = seams.operation(moved[0].operation).why_source
            yield Conflict(MOVES, words, source, (line, *moved))


def _thrice(
    kind: str, now: Sequence[Work], earlier: Sequence[Collection[Work]]
) -> Iterator[Conflict]:
    if len(earlier) < LOOKED_BACK:
        return
    for key in dict.fromkeys(line.seam for line in now if _cuts(line)):
        if all(any(old.seam == key and _cuts(old) for old in of) for of in earlier):
            name = seams.seam(kind, key).name
            words = (
                f"{name}: altered at the two fittings before, and now again. Look for another"
                " cause before it is opened a third time."
            )
            lines = tuple(line for line in now if line.seam == key)
            yield Conflict(THRICE, words, "common practice, no source", lines)


def _cuts(line: Work) -> bool:
    """Whether the line opens its seam: leaving and pressing do not."""
    return line.operation not in ("leave", "press-shape")


def _fits(line: Work, part: dict[str, list[str]]) -> bool:
    return line.operation in part["operations"] and line.seam in part.get("at", [line.seam])


def _called(kind: str, line: Work) -> str:
    operation, seam = seams.operation(line.operation).name, seams.seam(kind, line.seam).name.lower()
    return operation if operation.lower().endswith(seam) else f"{operation} ({seam})"


def _point(kind: str, key: str) -> str:
    return next(point.name.lower() for point in POINTS[kind] if point.key == key)


def _read() -> list[dict[str, Any]]:
    text = (Path(__file__).parent / "disturbing.toml").read_text(encoding="utf-8")
    rows: list[dict[str, Any]] = tomllib.loads(text)["row"]
    for row in rows:
        places = {(op, at) for kind, op, at in seams.EFFECTS if kind in row["kinds"]}
        for part in (row["moves"], row["sets"]):
            for key in part["operations"]:
                ats = {at for op, at in places if op == key}
                if not ats & set(part.get("at", ats)):
                    raise ValueError(f"disturbing.toml: {key} is not done there.")
        row["kinds"] += ["overcoat"] if "coat" in row["kinds"] else []
    return rows


_ROWS: Final = _read()
