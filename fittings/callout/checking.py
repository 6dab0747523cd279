"""What is wrong with the words of the call-out line, in sentences. The shipped ones give none."""

from collections import defaultdict
from collections.abc import Iterator

from fittings.callout.vocabulary import Vocabulary, vocabulary
from fittings.catalogue import Catalogue
from fittings.catalogue.words import Saying, Words

KINDS = ("coat", "waistcoat", "trousers")


def check_words(catalogue: Catalogue, words: Words) -> list[str]:
    """One sentence for each row that cannot stand: see the functions below for the rules."""
    rows = (
        *words.zones,
        *words.faults,
        *words.asks,
        *words.common,
        *words.forms,
        *words.sounds,
    )
    kinds = [vocabulary(catalogue, kind, words) for kind in KINDS]
    return [
        *(said for row in rows for said in _row(row)),
        *_unknown(catalogue, words),
        *_unsaid(catalogue, words),
        *(said for each in kinds for said in _shared(each)),
    ]


def _row(row: Saying) -> Iterator[str]:
    """Every row has something to say and a source."""
    name = f"words for {row.means or ', '.join(row.faults)}"
    if not row.source.strip():
        yield f"{name} have no source"
    if not row.say or not all(said.strip() for said in row.say):
        yield f"{name} say nothing"


def _unknown(catalogue: Catalogue, words: Words) -> Iterator[str]:
    """Every row is about a zone or a fault that is there."""
    for row in words.zones:
        if (row.kind, row.means) not in catalogue.zone_keys:
            yield f"words for an unknown zone: {row.means} of {row.kind}"
    for row in words.asks:
        if (row.kind, row.zone) not in catalogue.zone_keys:
            yield f"words for an unknown zone: {row.zone} of {row.kind}"
    for key in (key for row in (*words.faults, *words.asks) for key in (row.faults or [row.means])):
        if key not in catalogue.fault_by_key:
            yield f"words for an unknown fault: {key}"


def _unsaid(catalogue: Catalogue, words: Words) -> Iterator[str]:
    """Every fault and every zone of the shipped catalogue has plain words besides its label."""
    said = {row.means for row in words.faults}
    yield from (f"no words for {row.key}" for row in catalogue.faults if row.key not in said)
    named = {(row.kind, row.means) for row in words.zones}
    for row in catalogue.zones:
        if (row.kind, row.key) not in named:
            yield f"no words for {row.key} of {row.kind}"


def _shared(words: Vocabulary) -> Iterator[str]:
    """No two faults of a zone share a phrase: what may mean either stands among `asks`."""
    faults: dict[tuple[str, frozenset[str]], set[str]] = defaultdict(set)
    for phrase in {phrase for found in words.by_stem.values() for phrase in found}:
        if not phrase.asks:
            faults[phrase.zone, phrase.stems].update(phrase.faults)
    for (zone, stems), keys in sorted(faults.items(), key=lambda item: sorted(item[1])):
        if len(keys) > 1:
            said, both = " ".join(sorted(stems)), " and ".join(sorted(keys))
            yield f"“{said}” at the {zone} is said for {both}"
