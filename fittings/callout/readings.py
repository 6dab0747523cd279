"""What a run of words may mean: a fault of a zone, a zone clean, or nothing. No order of words."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from customers.lengths import Length
from fittings.callout.heard import Choice, Slip
from fittings.callout.stems import plural
from fittings.callout.tokens import SIDES, Alt, Token
from fittings.callout.vocabulary import NOT, Phrase, Vocabulary

# What a reading costs; the cheapest reading of the line is taken. House rule, set on the first
# half of tests/fittings/callout/phrases.toml; only their order matters, hardly their size.
ENTRY: Final = 1.0
UNREAD: Final = {"unknown": 3.0, "word": 4.0, "soft": 0.4, "maybe": 0.0, "not": 1.5}
UNREAD_OTHER: Final = 4.0  # a side, an amount or a clean that nothing takes up
OF_THE_SIGN: Final = 0.7  # a word of the fault's own description
SLIP: Final = 0.3
CARRIED: Final = 0.8  # the zone is that of the words before
SELF_EVIDENT: Final = 1.0  # no zone, as where only one fault is called so
OPEN_ZONE: Final = 1.2  # besides, where faults of several zones are called so
ASKED: Final = 0.4  # words that stand for several faults
PARTIAL: Final = 2.5  # only some words of the fault
NO_SIDE: Final = 1.2
LATE_SIDE: Final = 0.3
EARLY_AMOUNT: Final = 0.5
MOST_CHOICES: Final = 4
_SAME: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Before:
    """What the words before leave to be understood: their zone and side."""

    zone: str = ""
    side: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """A meaning of some tokens. `used`: those that carry it, by their place among them."""

    choices: tuple[Choice, ...]
    cost: float
    used: frozenset[int]
    amount: Length | None = None
    slips: tuple[Slip, ...] = ()
    sure: bool = True


class Span:
    """A run of content tokens, with the look-ups every reading of it needs."""

    def __init__(self, tokens: Sequence[Token], words: Vocabulary) -> None:
        self.tokens = tokens
        self.words = words
        self.at: dict[str, tuple[int, Alt]] = {}
        for place, token in enumerate(tokens):
            if token.role in ("word", "soft", "maybe", "not", "unknown"):
                alts = (Alt(NOT),) if token.role == "not" else token.alts
                for alt in alts:
                    kept = self.at.get(alt.stem)
                    if kept is None or (kept[1].slip and not alt.slip):
                        self.at[alt.stem] = (place, alt)

    def places(self, role: str) -> list[int]:
        return [place for place, token in enumerate(self.tokens) if token.role == role]

    @cached_property
    def sides(self) -> list[int]:
        return [place for place, token in enumerate(self.tokens) if token.role in SIDES]

    @cached_property
    def amounts(self) -> list[int]:
        return self.places("amount")

    @cached_property
    def zones(self) -> dict[str, frozenset[str]]:
        """The zones named, each by its longest name among the words."""
        found: dict[str, frozenset[str]] = {}
        for stems, zone in self.words.zones:
            if stems <= self.at.keys() and len(stems) > len(found.get(zone, ())):
                found[zone] = stems
        return found

    @cached_property
    def phrases(self) -> list[Phrase]:
        """The phrases whose every word is here."""
        found = {
            phrase: None
            for stem in self.at
            for phrase in self.words.by_stem.get(stem, ())
            if phrase.stems <= self.at.keys()
        }
        return list(found)

    def spots(self, stems: frozenset[str]) -> frozenset[int]:
        return frozenset(self.at[stem][0] for stem in stems)

    def slips(self, stems: frozenset[str]) -> tuple[Slip, ...]:
        found = (self.at[stem][1].slip for stem in stems)
        return tuple(slip for slip in found if slip)


@dataclass(frozen=True, slots=True)
class _Match:
    fault: str
    cost: float
    stems: frozenset[str]
    used: frozenset[int]
    named: bool
    carried: bool
    partial: bool


def fault_reading(span: Span, before: Before) -> Reading | None:
    """The faults the words fit best, one or several; None where none does, or too many do."""
    if len(span.amounts) > 1 or len(span.sides) > 1 or span.places("clean"):
        return None
    found = _matches(span, before) or _partial(span, before)
    if not found:
        return None
    least = min(match.cost for match in found)
    best = [match for match in found if match.cost <= least + _SAME]
    if len(best) > MOST_CHOICES:
        return None
    first, cost = best[0], least + ENTRY
    if len(best) > 1 and not first.named and not first.carried:
        cost += OPEN_ZONE
    choices, missing = _with_sides(span, best, before)
    used = first.used | frozenset(span.amounts) | _side_used(span, best)
    said = span.tokens[span.amounts[0]].amount if span.amounts else None
    return Reading(
        choices=choices,
        cost=cost + missing + _order(span, first),
        used=used,
        amount=said,
        slips=span.slips(first.stems) + _own_slips(span),
        sure=len(choices) == 1 and not first.partial and _certain(span, first),
    )


def _certain(span: Span, match: _Match) -> bool:
    """Whether nothing is to be asked, as far as the words of one fault go.

    No word may be in doubt. Where no zone was named, one word must be said of this fault alone, or
    name a place as a part of its phrase (legs long); and neither may be made out of a slip.
    """
    if any(span.tokens[place].doubt for place in match.used):
        return False
    if match.named or match.carried:
        return match.named or len(span.slips(match.stems)) < len(match.stems)
    telling = (
        stem
        for stem in match.stems
        if len(span.words.faults_by_stem.get(stem, ())) == 1
        or (len(match.stems) > 1 and stem in span.words.places)
    )
    return any(span.at[stem][1].slip is None for stem in telling)


def _matches(span: Span, before: Before) -> list[_Match]:
    """Every fault of which a whole phrase was said, with what stays unread if it is meant."""
    said: dict[str, frozenset[str]] = {}
    asked: dict[str, frozenset[str]] = {}
    for phrase in span.phrases:
        for fault in phrase.faults:
            table = asked if phrase.asks else said
            table[fault] = table.get(fault, frozenset()) | phrase.stems
    plain = [_match(span, before, fault, stems, 0.0) for fault, stems in said.items()]
    doubtful = [_match(span, before, fault, stems, ASKED) for fault, stems in asked.items()]
    return plain + doubtful


def _partial(span: Span, before: Before) -> list[_Match]:
    """The faults of a zone named or carried with which some words are shared."""
    found = []
    for key, row in span.words.faults.items():
        if row.zone not in span.zones and row.zone != before.zone:
            continue
        named = span.zones.get(row.zone, frozenset())
        shared = (span.words.of_fault[key] & span.at.keys()) - named
        if shared:
            found.append(_match(span, before, key, shared, PARTIAL))
    return found


def _match(span: Span, before: Before, fault: str, stems: frozenset[str], penalty: float) -> _Match:
    zone = span.words.faults[fault].zone
    named, carried = zone in span.zones, zone == before.zone
    every = stems | span.zones.get(zone, frozenset())
    used = span.spots(every)
    cost = penalty + SLIP * len(span.slips(every))
    if not named:
        cost += CARRIED if carried else SELF_EVIDENT
    # what stands for several faults is not made out by the words of one fault's description
    sign = frozenset() if penalty == ASKED else span.words.signs[fault]
    cost += sum(
        unread(token, sign)
        for place, token in enumerate(span.tokens)
        if place not in used and token.role not in (*SIDES, "amount")
    )
    if span.sides and not span.words.faults[fault].sided and not _whole(span):
        cost += UNREAD_OTHER
    return _Match(fault, cost, every, used, named, carried, penalty == PARTIAL)


def unread(token: Token, sign: frozenset[str] = frozenset()) -> float:
    """What it costs to leave a token unread beside the fault whose description has `sign`."""
    if token.role == "word" and any(alt.stem in sign and not alt.slip for alt in token.alts):
        return OF_THE_SIGN
    return UNREAD.get(token.role, UNREAD_OTHER)


def _whole(span: Span) -> bool:
    """Whether the side named is both, which says no more than the zone does."""
    return span.tokens[span.sides[0]].role == "both"


def _side_used(span: Span, best: Sequence[_Match]) -> frozenset[int]:
    sided = any(span.words.faults[match.fault].sided for match in best)
    return frozenset(span.sides) if span.sides and (sided or _whole(span)) else frozenset()


def _with_sides(
    span: Span, best: Sequence[_Match], before: Before
) -> tuple[tuple[Choice, ...], float]:
    """The choices with their sides, and what a side that nobody said costs."""
    found: list[Choice] = []
    missing = 0.0
    for match in best:
        row = span.words.faults[match.fault]
        side = _side(span, match, before) if row.sided else ""
        if row.sided and not side:
            missing = NO_SIDE
            found += [Choice(row.zone, row.key, each) for each in ("L", "both", "R")]
        else:
            found.append(Choice(row.zone, row.key, side))
    return tuple(found), missing


def _side(span: Span, match: _Match, before: Before) -> str:
    if span.sides:
        return SIDES[span.tokens[span.sides[0]].role]
    zone = span.words.faults[match.fault].zone
    named = span.spots(span.zones.get(zone, frozenset()))
    if any(plural(span.tokens[place].text) for place in named):
        return "both"
    return before.side if match.carried and not match.named else ""


def _order(span: Span, first: _Match) -> float:
    """The usual order costs least: side, zone, fault, amount."""
    zone = span.spots(span.zones.get(span.words.faults[first.fault].zone, frozenset()))
    late = LATE_SIDE if span.sides and span.sides[0] > min(first.used) else 0.0
    says = min(first.used - zone, default=0)
    early = EARLY_AMOUNT if span.amounts and span.amounts[0] < says else 0.0
    return late + early


def _own_slips(span: Span) -> tuple[Slip, ...]:
    """Slips in words that are no part of a phrase: amounts, sides, clean."""
    tokens = (span.tokens[place] for place in (*span.sides, *span.amounts, *span.places("clean")))
    return tuple(dict.fromkeys(slip for token in tokens for slip in token.slips))


def clean_reading(span: Span, before: Before) -> Reading | None:
    """Zones called clean, one or several; `before` stands in where none is named."""
    cleans = span.places("clean")
    if len(cleans) != 1 or span.amounts or span.places("unknown"):
        return None
    zones, stems = _zones_in_order(span)
    if not zones and not before.zone:
        return None
    used = span.spots(stems) | frozenset(cleans) | frozenset(span.places("both"))
    left = [token for place, token in enumerate(span.tokens) if place not in used]
    cost = ENTRY + sum(unread(token) for token in left) + SLIP * len(span.slips(stems))
    return Reading(
        choices=tuple(Choice(zone) for zone in zones or [before.zone]),
        cost=cost + (0.0 if zones else CARRIED),
        used=used,
        slips=span.slips(stems) + _own_slips(span),
        sure=not _by_the_way(span, stems, cleans[0]),
    )


def _by_the_way(span: Span, stems: frozenset[str], clean: int) -> bool:
    """Whether the clean word stands before the zone and may open the sentence: okay, the collar."""
    before = clean < min(span.spots(stems), default=clean)
    return before and span.tokens[clean].text in ("ok", "okay", "good", "fine", "well", "all right")


def _zones_in_order(span: Span) -> tuple[list[str], frozenset[str]]:
    """The zones named as they were said; a longer name leaves nothing for a shorter one."""
    taken: frozenset[str] = frozenset()
    found: dict[str, int] = {}
    for zone, stems in sorted(span.zones.items(), key=lambda item: -len(item[1])):
        if not stems & taken:
            taken |= stems
            found[zone] = min(span.spots(stems))
    return sorted(found, key=lambda zone: found[zone]), taken
