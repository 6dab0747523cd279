"""The line read as a whole: of all ways to part it into runs of words, the one that costs least.

A beam walk from left to right: at each word the few best ways so far are kept, one for each state
of what is understood (the zone and side last spoken of), so the time grows with the line's length.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf
from typing import Final, NamedTuple

from fittings.callout import readings
from fittings.callout.heard import Choice
from fittings.callout.readings import Before, Reading, Span
from fittings.callout.stems import plural, stem
from fittings.callout.tokens import SIDES, Token
from fittings.callout.vocabulary import Vocabulary

LONGEST_RUN: Final = 12  # content words one entry is looked for in
WIDTH: Final = 6  # ways kept at each word
MOST_UNKNOWN: Final = 2  # unknown words within one entry
GAPS: Final = {"comma": 2.5, "stop": 6.0, "joint": 0.5}
LISTED: Final = 0.2  # a comma or an and between zones that are clean together
HEADING: Final = 2.2  # a zone by itself, spoken of next
UNUSED_HEADING: Final = 1.5
REPEAT: Final = 0.3  # the other side, said with an amount or as the same
BARE_REPEAT: Final = 1.3
FIX: Final = 0.6
OTHER: Final = {"L": "R", "R": "L"}
NOTHING: Final = Before()
# Words that speak of what was said before, or of all the rest.
SPOKEN: Final = ("correction", "back", "same", "rest", "other")


@dataclass(frozen=True, slots=True)
class Item:
    """A run of content words, `start` to `end`, and what it was read as.

    `kind`: entry, rest, fix (the entry before, said better), undo, heading, or why it is a note.
    """

    kind: str
    start: int
    end: int
    reading: Reading | None = None


@dataclass(frozen=True, slots=True)
class Way:
    """One way to read the line up to a word."""

    cost: float
    item: Item | None = None
    earlier: "Way | None" = None
    before: Before = NOTHING
    last: Reading | None = None  # the entry said last
    last_at: tuple[int, int] = (0, 0)
    heading: bool = False  # a zone was named and nothing said of it yet

    def state(self) -> tuple[Before, tuple[Choice, ...], bool]:
        return self.before, self.last.choices if self.last else (), self.heading


class Run(NamedTuple):
    """Content words `start` to `end`; what joining them costs, and costs in a list of zones."""

    span: Span
    start: int
    end: int
    joined: float
    listed: float


@dataclass(frozen=True)
class Line:
    """The content words of a line, and what stands between each and the one before."""

    tokens: tuple[Token, ...]
    gaps: tuple[tuple[str, ...], ...]
    words: Vocabulary

    @cached_property
    def across(self) -> list[float]:
        """What it costs to join each word to the one before."""
        return [sum(GAPS.get(role, 0.0) for role in set(gap)) for gap in self.gaps]


def listen(line: Line) -> list[Item]:
    """The items of the cheapest way, in the order of the line."""
    ways: list[dict[object, Way]] = [{} for _ in range(len(line.tokens) + 1)]
    ways[0][None] = Way(0.0)
    for at in range(len(line.tokens)):
        best = sorted(ways[at].values(), key=lambda way: way.cost)[:WIDTH]
        ways[at] = {}
        found = _Readings(list(_runs(line, at)))
        for way in best:
            for step in _steps(line, way, at, found):
                place, state = ways[step.item.end], step.state()  # type: ignore[union-attr]
                if state not in place or step.cost < place[state].cost:
                    place[state] = step
    last = min(ways[-1].values(), key=lambda way: way.cost + UNUSED_HEADING * way.heading)
    return _items(last)


def _items(way: Way) -> list[Item]:
    found = []
    step: Way | None = way
    while step is not None and step.item is not None:
        found.append(step.item)
        step = step.earlier
    return found[::-1]


def _runs(line: Line, at: int) -> Iterator[Run]:
    """The runs that begin at a word."""
    joined = listed = 0.0
    unknown, cleaned = 0, False
    for end in range(at, min(at + LONGEST_RUN, len(line.tokens))):
        if end > at:
            joined += line.across[end]
            # zones are listed before the word that calls them clean
            cleaned = cleaned or line.tokens[end - 1].role == "clean"
            paused = not set(line.gaps[end]).isdisjoint(("comma", "stop"))
            short = not cleaned and "stop" not in line.gaps[end]
            listed += LISTED if short else inf if paused else line.across[end]
        unknown += line.tokens[end].role == "unknown"
        if unknown > MOST_UNKNOWN:
            return
        yield Run(Span(line.tokens[at : end + 1], line.words), at, end + 1, joined, listed)


class _Readings:
    """The readings of the runs from one word on, each worked out once for all ways there."""

    def __init__(self, runs: Sequence[Run]) -> None:
        self.runs = runs
        self.faults: dict[tuple[int, Before], Reading | None] = {}
        self.cleans: dict[tuple[int, Before], Reading | None] = {}

    def fault(self, run: Run, before: Before) -> Reading | None:
        key = run.end, before
        if key not in self.faults:
            self.faults[key] = readings.fault_reading(run.span, before)
        return self.faults[key]

    def clean(self, run: Run, before: Before) -> Reading | None:
        key = run.end, before
        if key not in self.cleans:
            self.cleans[key] = readings.clean_reading(run.span, before)
        return self.cleans[key]


def _steps(line: Line, way: Way, at: int, found: _Readings) -> Iterator[Way]:
    yield _note(line, way, at)
    for run in found.runs:
        if not any(token.role in SPOKEN for token in run.span.tokens):
            if fault := found.fault(run, way.before):
                yield _entry(way, run, fault)
            heading = way.before if way.heading or run.span.sides else NOTHING
            if run.listed < inf and (clean := found.clean(run, heading)):
                yield _clean(way, run, clean)
        yield from _spoken(line, way, run)
        if (named := _heading(way, run)) is not None:
            yield named


def _note(line: Line, way: Way, at: int) -> Way:
    """One word left unread."""
    cost = readings.unread(line.tokens[at])
    return replace(way, cost=way.cost + cost, item=Item("unknown", at, at + 1), earlier=way)


def _entry(way: Way, run: Run, reading: Reading) -> Way:
    cost = way.cost + reading.cost + run.joined
    first = reading.choices[0]
    takes_up = way.heading and first.zone == way.before.zone
    if way.heading and not takes_up:
        cost += UNUSED_HEADING
    denied = any(place not in reading.used for place in run.span.places("not"))
    side = first.side if len({choice.side for choice in reading.choices}) == 1 else ""
    one_zone = len({choice.zone for choice in reading.choices}) == 1
    return Way(
        cost=cost,
        item=Item("denied" if denied else "entry", run.start, run.end, reading),
        earlier=way,
        before=Before(first.zone if one_zone else "", side),
        last=None if denied else reading,
        last_at=(run.start, run.end),
    )


def _clean(way: Way, run: Run, reading: Reading) -> Way:
    kind, joined, span = "entry", min(run.joined, run.listed), run.span
    if span.places("not"):
        kind = "unclean"
    elif span.places("left") or span.places("right"):
        kind, joined = "half", joined - readings.UNREAD_OTHER
    unused = UNUSED_HEADING * (way.heading and reading.choices[0].zone != way.before.zone)
    return Way(
        cost=way.cost + reading.cost + joined + unused,
        item=Item(kind, run.start, run.end, reading),
        earlier=way,
        before=Before(reading.choices[-1].zone),
        last=reading if kind == "entry" else None,
        last_at=(run.start, run.end),
    )


def _heading(way: Way, run: Run) -> Way | None:
    """A zone by itself: what is said next is said of it."""
    span, start, end = run.span, run.start, run.end
    if span.amounts or len(span.sides) > 1 or len(span.zones) != 1:
        return None
    ((zone, stems),) = span.zones.items()
    if len(span.spots(stems)) + len(span.sides) != len(span.tokens):
        return None
    side = SIDES[span.tokens[span.sides[0]].role] if span.sides else ""
    if not side and any(plural(token.text) for token in span.tokens):
        side = "both"
    cost = way.cost + HEADING + UNUSED_HEADING * way.heading
    item = Item("heading", start, end)
    return Way(cost, item, way, Before(zone, side), last_at=(start, end), heading=True)


def _spoken(line: Line, way: Way, run: Run) -> Iterator[Way]:
    """What is said of what was said before, or of all the rest."""
    roles = [token.role for token in run.span.tokens]
    if "rest" in roles and (rest := _rest(way, run)) is not None:
        yield rest
    if way.last is None or way.last_at[1] != run.start:
        return
    if roles == ["back"]:
        item = Item("undo", run.start, run.end)
        yield replace(way, item=item, earlier=way, last=None)
    if (again := _again(line, way, run.span)) is not None:
        yield _entry(way, run, again)
    said = set(roles[1:])
    if roles[0] == "correction" or (
        roles[0] == "not" and said and said <= {*SIDES, "amount", "soft"}
    ):
        yield from _fixed(line, way, run)


def _rest(way: Way, run: Run) -> Way | None:
    """All the rest is clean."""
    roles = [token.role for token in run.span.tokens]
    if roles.count("clean") != 1 or set(roles) - {"rest", "clean", "soft"}:
        return None
    reading = Reading((), readings.ENTRY, frozenset(range(len(roles))))
    unused = UNUSED_HEADING * way.heading
    cost = way.cost + reading.cost + run.joined + unused
    item = Item("rest", run.start, run.end, reading)
    return Way(cost, item, way, last_at=(run.start, run.end))


def _again(line: Line, way: Way, span: Span) -> Reading | None:
    """The fault said last, on another side: the same, or with its own amount.

    The zone may be named again, in the same word: left sleeve long a quarter, right sleeve a half.
    """
    roles = [token.role for token in span.tokens]
    named = {each for stems in span.zones.values() for each in stems}
    before = {stem(token.text) for token in line.tokens[way.last_at[0] : way.last_at[1]]}
    again = span.spots(frozenset(named & before))
    passed = ("soft", "same", "amount")
    said = [r for at, r in enumerate(roles) if r not in passed and at not in again]
    if way.last is None or len(said) != 1 or said[0] not in (*SIDES, "other"):
        return None
    choices = way.last.choices
    if len(choices) != 1 or not choices[0].side or len(span.amounts) > 1:
        return None
    side = SIDES.get(said[0]) or OTHER.get(choices[0].side, "")
    if not side or side == choices[0].side:
        return None
    spoken = bool(span.amounts) or "same" in roles
    return Reading(
        choices=(replace(choices[0], side=side),),
        cost=readings.ENTRY + (REPEAT if spoken else BARE_REPEAT),
        used=frozenset(range(len(roles))),
        amount=span.tokens[span.amounts[0]].amount if span.amounts else way.last.amount,
        slips=tuple(slip for token in span.tokens for slip in token.slips),
    )


def _fixed(line: Line, way: Way, run: Run) -> Iterator[Way]:
    """The entry before, with what is now said of it in the place of what was said first."""
    if way.last is None or not way.last.choices[0].fault:
        return
    new = run.span.tokens[1:]
    old = _kept_of(line.tokens[way.last_at[0] : way.last_at[1]], way.last, Span(new, line.words))
    merged = Span((*old, *new), line.words)
    reading = readings.fault_reading(merged, Before(way.last.choices[0].zone, ""))
    if reading is None or not new or any(p not in reading.used for p in merged.places("not")):
        return
    reading = replace(reading, slips=(*reading.slips, *run.span.tokens[0].slips))
    first = reading.choices[0]
    cost = way.cost + FIX + max(0.0, reading.cost - way.last.cost)
    yield Way(
        cost=cost,
        item=Item("fix", run.start, run.end, reading),
        earlier=way,
        before=Before(first.zone, first.side),
        last=reading,
        last_at=(way.last_at[0], run.end),
    )


def _kept_of(old: Sequence[Token], last: Reading, new: Span) -> list[Token]:
    """The words of the entry before that the new ones leave in force."""
    was = Span(old, new.words)
    zone = was.spots(was.zones.get(last.choices[0].zone, frozenset()))
    says = {stem for phrase in new.phrases for stem in phrase.stems}
    for stems in new.zones.values():
        says -= stems
    kept = []
    for place, token in enumerate(old):
        replaced = (
            (token.role in SIDES and new.sides)
            or (token.role == "amount" and new.amounts)
            or token.role in ("not", "correction")
            or (place in zone and new.zones)
            or (token.role == "word" and place not in zone and says)
        )
        if not replaced:
            kept.append(token)
    return kept
