"""The words of one kind of garment, ready to be looked up."""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

from fittings import catalogue as rows
from fittings.callout.stems import plural, stem
from fittings.catalogue import Catalogue, Fault, Zone
from fittings.catalogue.words import Words, load_words

_NUMBERS: Final = "one two three four five six seven eight nine ten eleven twelve"
NUMBERS: Final = {word: number for number, word in enumerate(_NUMBERS.split(), 1)}
PARTS: Final = {"half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16, "thirty-second": 32}
UNITS: Final = {
    **dict.fromkeys(("inch", "inches", "ins", '"'), "in"),
    **dict.fromkeys(("cm", "cms", "centimetre", "centimeter"), "cm"),
    **dict.fromkeys(("centimetres", "centimeters", "centi"), "cm"),
    **dict.fromkeys(("mm", "mms", "mil", "mill", "mils"), "mm"),
    **dict.fromkeys(("millimetre", "millimeter", "millimetres", "millimeters"), "mm"),
}
NOT: Final = "not"  # the stem of every word that denies
_WORD: Final = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")


@dataclass(frozen=True, slots=True)
class Phrase:
    """Word stems that together mean a fault of a zone; any of several where it asks."""

    stems: frozenset[str]
    zone: str
    faults: tuple[str, ...]

    @property
    def asks(self) -> bool:
        return len(self.faults) > 1


@dataclass(frozen=True)
class Vocabulary:
    """Look-ups over the words of a kind. `common` and `sounds` go by the words' own spelling."""

    zones: tuple[tuple[frozenset[str], str], ...]
    by_stem: dict[str, list[Phrase]]
    faults: dict[str, Fault]
    common: dict[tuple[str, ...], str]
    forms: dict[str, str]
    sounds: dict[tuple[str, ...], tuple[str, ...]]
    signs: dict[str, frozenset[str]]
    ordinary: frozenset[str]  # words of every day that are never taken for a slip
    of_fault: dict[str, frozenset[str]]
    stems: frozenset[str]
    spelt: tuple[str, ...]

    @cached_property
    def faults_by_stem(self) -> dict[str, frozenset[str]]:
        """The faults of which a word is said."""
        return {
            stem: frozenset(key for phrase in found for key in phrase.faults)
            for stem, found in self.by_stem.items()
        }

    @cached_property
    def places(self) -> frozenset[str]:
        """The words that name a zone by themselves."""
        return frozenset(stem for stems, _ in self.zones if len(stems) == 1 for stem in stems)

    @cached_property
    def singles(self) -> frozenset[str]:
        """Every word that stands in a common phrase."""
        return frozenset(word for run in self.common for word in run)

    @cached_property
    def longest(self) -> int:
        return max((len(run) for run in self.common), default=1)

    def root(self, word: str) -> str:
        small = word.lower()
        return stem(self.forms.get(small, small))


def vocabulary(catalogue: Catalogue, kind: str, words: Words | None = None) -> Vocabulary:
    """The words for a kind of garment; kept, so that only the first line of a kind pays for it."""
    read_as = rows.read_as(kind)
    zones = tuple(row for row in catalogue.zones if row.kind == read_as)
    faults = tuple(row for row in catalogue.faults if row.kind == read_as)
    return _built(zones, faults, words or load_words())


def words_in(text: str) -> list[str]:
    """The words of a phrase, in small letters."""
    return _WORD.findall(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'"))


@lru_cache(maxsize=8)
def _built(zones: tuple[Zone, ...], faults: tuple[Fault, ...], words: Words) -> Vocabulary:
    forms = {said: row.means for row in words.forms for said in row.say}
    common = {
        tuple(words_in(said)): row.means
        for row in words.common
        if row.means != "ordinary"
        for said in row.say
    }
    phrases = list(_phrases(zones, faults, words, forms))
    named = tuple(_named(zones, words, forms))
    by_stem: dict[str, list[Phrase]] = defaultdict(list)
    for phrase in phrases:
        for each in phrase.stems:
            by_stem[each].append(phrase)
    stems = frozenset(by_stem) | {each for said, _ in named for each in said}
    return Vocabulary(
        zones=named,
        by_stem=dict(by_stem),
        faults={row.key: row for row in faults},
        common=common,
        forms=forms,
        sounds={
            tuple(words_in(s)): tuple(words_in(row.means)) for row in words.sounds for s in row.say
        },
        signs={row.key: bag(f"{row.label} {row.sign}", words, forms) for row in faults},
        ordinary=singles(words, "ordinary"),
        of_fault={
            row.key: frozenset().union(*(p.stems for p in phrases if row.key in p.faults))
            for row in faults
        },
        stems=stems,
        spelt=tuple(_spelt(zones, faults, words)),
    )


def bag(text: str, words: Words, forms: dict[str, str]) -> frozenset[str]:
    """The stems of a phrase without its small words."""
    small, denying = singles(words, "filler", "joint"), singles(words, "not")
    kept = (NOT if w in denying else w for w in words_in(text) if w not in small)
    return frozenset(stem(forms.get(w, w)) for w in kept)


@lru_cache(maxsize=16)
def singles(words: Words, *means: str) -> frozenset[str]:
    """The single words among the common ones that mean this."""
    rows_of = (row.say for row in words.common if row.means in means)
    return frozenset(said for say in rows_of for said in say if " " not in said)


def _phrases(
    zones: Iterable[Zone], faults: Iterable[Fault], words: Words, forms: dict[str, str]
) -> Iterator[Phrase]:
    said = {row.means: row.say for row in words.faults}
    kept = {row.key: row for row in faults}
    kinds = {zone.kind for zone in zones}
    for row in kept.values():
        for text in (*said.get(row.key, ()), row.label):
            if stems := bag(text, words, forms):
                yield Phrase(stems, row.zone, (row.key,))
    for ask in words.asks:
        if ask.kind in kinds and set(ask.faults) <= set(kept):
            yield from (Phrase(bag(text, words, forms), ask.zone, ask.faults) for text in ask.say)


def _named(
    zones: Iterable[Zone], words: Words, forms: dict[str, str]
) -> Iterator[tuple[frozenset[str], str]]:
    said = {(row.kind, row.means): row.say for row in words.zones}
    for zone in zones:
        for text in dict.fromkeys((*said.get((zone.kind, zone.key), ()), zone.name)):
            yield bag(text, words, forms), zone.key


def _spelt(zones: Iterable[Zone], faults: Iterable[Fault], words: Words) -> list[str]:
    """Every word that a slip may be taken for, as it is written."""
    keys = {row.key for row in faults}
    kinds = {row.kind for row in zones}
    texts = [row.label for row in faults]
    texts += [t for row in words.faults if row.means in keys for t in row.say]
    texts += [t for row in (*words.zones, *words.asks) if row.kind in kinds for t in row.say]
    texts += [
        t
        for row in words.common
        if row.means not in ("filler", "soft", "ordinary")
        for t in row.say
    ]
    small = singles(words, "filler", "joint")
    found = {w for text in texts for w in words_in(text) if w not in small}
    found |= {w[:-1] for w in found if plural(w)}
    return sorted(found | {*NUMBERS, *PARTS, *(f"{p}s" for p in PARTS), *UNITS} - {'"'})
