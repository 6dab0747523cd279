"""The call-out line: what the fitter says aloud, typed or dictated in one field, read as entries.

`read_line` is pure and never fails: what it cannot read it hands back, nothing typed is lost. Words
come from the catalogue's labels and `catalogue/data/words.toml`; the order of words within an entry
is free, the amount may stand before or after, a zone holds until another is named.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from fittings.callout.heard import WHY, Choice, Entry, Heard, Leftover, Slip
from fittings.callout.listening import Item, Line, listen
from fittings.callout.parts import is_content, parts_of
from fittings.callout.readings import OF_THE_SIGN, unread
from fittings.callout.tokens import Token
from fittings.callout.vocabulary import Vocabulary, vocabulary
from fittings.catalogue import Catalogue

__all__ = ["LONGEST", "WHY", "Choice", "Entry", "Heard", "Leftover", "Slip", "read_line"]

LONGEST: Final = 2000  # characters read at once, some ten minutes of speech; the rest is left over


def read_line(text: str, catalogue: Catalogue, kind: str, unit: str) -> Heard:
    """What was said of a garment of `kind`; `unit` ("in" or "cm") where an amount names none.

    Every word of `text` stands in the span of an entry or of a leftover.
    """
    words = vocabulary(catalogue, kind)
    read, beyond = _within(text)
    parts = parts_of(read, words, unit)
    line, edges = _line(parts, words)
    if not line.tokens:
        return Heard(leftovers=tuple(_whole(read, "unknown", 0)) + tuple(beyond))
    told = _Telling(read, line, edges)
    for item in listen(line):
        told.take(item)
    left = told.leftovers()
    return Heard(tuple(told.entries), (*left, *beyond))


def _within(text: str) -> tuple[str, list[Leftover]]:
    """The part of the text that is read, and the rest as it stands, cut between two words."""
    if len(text) <= LONGEST:
        return text, []
    cut = max(text.rfind(" ", 0, LONGEST + 1), text.rfind("\n", 0, LONGEST + 1))
    cut = cut if cut > 0 else LONGEST
    return text[:cut], list(_whole(text[cut:], "too long", cut))


def _whole(text: str, why: str, start: int) -> Iterator[Leftover]:
    bare = text.strip()
    if bare:
        first = start + text.index(bare)
        yield Leftover(bare, (first, first + len(bare)), why)


def _line(parts: Sequence[Token], words: Vocabulary) -> tuple[Line, list[tuple[int, int]]]:
    """The words that are read, and how far each reaches with the small words about it.

    Small words go with the word they lead to; before a pause or the end, with the word before.
    """
    tokens: list[Token] = []
    gaps: list[tuple[str, ...]] = []
    edges: list[tuple[int, int]] = []
    between: list[Token] = []
    for part in parts:
        if not is_content(part):
            between.append(part)
            continue
        back, ahead = _shared(between)
        if edges and back:
            edges[-1] = (edges[-1][0], back[-1].end)
        lead = ahead if edges or not back else [*back, *ahead]
        edges.append((lead[0].start if lead else part.start, part.end))
        tokens.append(part)
        gaps.append(tuple(token.role for token in between))
        between = []
    trailing = [token for token in between if token.role not in ("comma", "stop")]
    if edges and trailing:
        edges[-1] = (edges[-1][0], trailing[-1].end)
    return Line(tuple(tokens), tuple(gaps), words), edges


def _shared(between: Sequence[Token]) -> tuple[list[Token], list[Token]]:
    """Small words between two words that are read: those that go back, those that go ahead."""
    pauses = [at for at, token in enumerate(between) if token.role in ("comma", "stop")]
    last = pauses[-1] if pauses else -1
    small = [(at, token) for at, token in enumerate(between) if at not in pauses]
    return [t for at, t in small if at < last], [t for at, t in small if at > last]


class _Telling:
    """The items of a line told as entries and leftovers, with their places in the text."""

    def __init__(self, text: str, line: Line, edges: Sequence[tuple[int, int]]) -> None:
        self.text = text
        self.line = line
        self.edges = edges
        self.entries: list[Entry] = []
        self.loose: list[tuple[int, int, str]] = []  # content words left over: start, end, why
        self.bare: Item | None = None  # a zone named of which nothing was said yet

    def take(self, item: Item) -> None:
        if item.kind == "unknown":
            self._leave(item.start, item.end, "unknown")
        elif item.kind == "undo":
            self._undo(item)
        elif item.kind == "heading":
            self._bare_left()
            self.bare = item
        elif item.kind in ("entry", "rest", "fix"):
            self._enter(item)
        else:
            self._bare_left()
            self._leave(item.start, item.end, item.kind)

    def leftovers(self) -> list[Leftover]:
        """Words that nothing took up, neighbours together."""
        self._bare_left()
        joined: list[tuple[int, int, str]] = []
        for start, end, why in sorted(self.loose):
            first = start
            if joined and joined[-1][1] == start and joined[-1][2] == why == "unknown":
                first = joined.pop()[0]
            joined.append((first, end, why))
        return [self._leftover(*row) for row in joined if not self._idle(*row)]

    def _idle(self, start: int, end: int, why: str) -> bool:
        """Whether words say nothing by themselves; they go with the entry beside them, if any."""
        idle = all(token.role in ("soft", "maybe") for token in self.line.tokens[start:end])
        if not idle or why != "unknown" or not self.entries:
            return False
        first, last = self._span(start, end)
        ahead = [at for at, entry in enumerate(self.entries) if entry.span[0] <= first]
        at = ahead[-1] if ahead else 0
        span = self.entries[at].span
        span = (min(span[0], first), max(span[1], last))
        self.entries[at] = replace(self.entries[at], span=span)
        return True

    def _leftover(self, start: int, end: int, why: str) -> Leftover:
        first, last = self._span(start, end)
        return Leftover(self.text[first:last], (first, last), why)

    def _span(self, start: int, end: int) -> tuple[int, int]:
        return self.edges[start][0], self.edges[end - 1][1]

    def _leave(self, start: int, end: int, why: str) -> None:
        self.loose.append((start, end, why))

    def _bare_left(self) -> None:
        if self.bare is not None:
            self._leave(self.bare.start, self.bare.end, "bare")
            self.bare = None

    def _undo(self, item: Item) -> None:
        entry = self.entries.pop()
        start = next(at for at, edge in enumerate(self.edges) if edge[0] >= entry.span[0])
        self.loose = [row for row in self.loose if row[0] < start]
        self._leave(start, item.end, "taken back")

    def _enter(self, item: Item) -> None:
        reading = item.reading
        if reading is None:
            return
        start = item.start
        if self.bare is not None and reading.choices and self._takes_up(item):
            start, self.bare = self.bare.start, None
        self._bare_left()
        first, last = self._span(start, item.end)
        if item.kind == "fix":
            first = self.entries.pop().span[0]
        else:
            self._unused(item)
        entry = Entry(
            choices=reading.choices,
            span=(first, last),
            amount=reading.amount,
            forgiven=tuple(dict.fromkeys(reading.slips)),
            sure=reading.sure,
            rest=item.kind == "rest",
        )
        if self.entries and (again := _said_again(self.entries[-1], entry)) is not None:
            self.entries[-1] = again
            return
        self.entries += _each(entry)

    def _takes_up(self, item: Item) -> bool:
        return self.bare is not None and self.bare.end == item.start

    def _unused(self, item: Item) -> None:
        """The words within an entry that it did not need, but for those of the fault's own sign."""
        reading = item.reading
        if reading is None or item.kind == "rest":
            return
        fault = reading.choices[0].fault
        sign = self.line.words.signs.get(fault, frozenset())
        for place in range(item.start, item.end):
            token = self.line.tokens[place]
            idle = token.role in ("soft", "maybe") or unread(token, sign) <= OF_THE_SIGN
            if place - item.start not in reading.used and not idle:
                self._leave(place, place + 1, "unknown")


def _said_again(one: Entry, two: Entry) -> Entry | None:
    """Two entries that say one thing in two ways, as one; None where they say two."""
    if not one.choices or not two.choices or not one.choices[0].fault:
        return None
    shared = tuple(choice for choice in two.choices if choice in one.choices)
    unlike = one.choices != two.choices
    if not shared or (unlike and (len(shared) > 1 or (one.sure and not two.sure))):
        return None
    if one.amount and two.amount and one.amount != two.amount:
        return None
    return replace(
        two,
        choices=shared,
        span=(one.span[0], two.span[1]),
        amount=one.amount or two.amount,
        forgiven=tuple(dict.fromkeys((*one.forgiven, *two.forgiven))),
        sure=len(shared) == 1 and (one.sure or two.sure),
    )


def _each(entry: Entry) -> list[Entry]:
    """Zones called clean together are an entry each."""
    if entry.choices and not entry.choices[0].fault:
        return [replace(entry, choices=(choice,)) for choice in entry.choices]
    return [entry]
