"""What the checker says of keys, said in the words people read."""

import re
from collections.abc import Mapping
from typing import Final

from fittings.catalogue import CHANGED, HOUSE, SHIPPED, Catalogue, Cause, Fault, Link, Remedy, Row
from garments import seams

_KEY = re.compile(r"[a-z0-9]+(?:-[A-Za-z0-9]+)+")
# The sign stands before the words: shape first, then words, colour last.
SIGNS: Final[Mapping[str, tuple[str, str, str]]] = {
    SHIPPED: ("○", "as shipped", ""),
    HOUSE: ("●", "the house's own", "chalk"),
    CHANGED: ("◐", "changed by the house", "warn"),
}
STRENGTH_WORDS: Final[Mapping[str, str]] = {
    "almost-always": "almost always",
    "usually": "usually",
    "often": "often",
    "sometimes": "sometimes",
    "rare": "rarely",
}
WHERE_WORDS: Final[Mapping[str, str]] = {
    "cut": "in the cut",
    "making": "in the making",
    "figure": "in the figure",
    "posture": "in the posture on the day",
}
STAGE_WORDS: Final[Mapping[str, str]] = {
    "baste": "at the baste",
    "forward": "at a forward fitting",
    "finished": "finished",
}


def in_words(book: Catalogue, sentence: str) -> str:
    """A sentence of the checker with labels in the place of keys, begun and ended as one."""
    said = _KEY.sub(lambda found: _label(book, found[0]), sentence)
    return f"{said[:1].upper()}{said[1:]}."


def _label(book: Catalogue, key: str) -> str:
    label = book.fault_label(key)
    label = book.cause_name(key) if label == key else label
    return key if label == key else f"“{label}”"


def title_of(book: Catalogue, row: Row) -> str:
    """What a row is called on its page."""
    if isinstance(row, Fault):
        return row.label
    if isinstance(row, Cause):
        return row.name
    if isinstance(row, Link):
        return f"{book.cause_name(row.cause)}: {book.fault_label(row.fault).lower()}"
    return f"{work_words(row)}, for {book.cause_name(row.cause).lower()}"


def work_words(row: Remedy) -> str:
    """``Let out, side seam``; keys for what the tables hold no more."""
    try:
        name = seams.operation(row.operation).name
        seam = seams.seam(row.kind, row.seam).name
    except seams.UnknownKeyError:
        return f"{row.operation}, {row.seam}"
    return name if seam.lower() in name.lower() else f"{name}, {seam.lower()}"


def rule_words(row: Remedy) -> str:
    """``1 of what was measured, 1/8 to 3/4 in``; nothing where no amount is taken."""
    if row.factor is None:
        return "no amount"
    most = f" to {row.most}" if row.most else " or more"
    return f"{row.factor} of what was measured, {row.least}{most} in"


def values_of(book: Catalogue, row: Row) -> dict[str, str]:
    """What a row says, column by column, in words: for its page and its history."""
    if isinstance(row, Fault):
        return _fault_values(book, row)
    if isinstance(row, Cause):
        return {
            "Cause": row.name,
            "Where": WHERE_WORDS.get(row.where, row.where),
            "In words": row.words,
            "How common": row.how_common.replace("-", " "),
            "Garments": ", ".join(row.kinds),
            "Source": row.source,
        }
    if isinstance(row, Link):
        return {
            "Cause": book.cause_name(row.cause),
            "Shows as": book.fault_label(row.fault),
            "Side": seams.SIDE_NAMES.get(row.side, row.side) or "either",
            "How often": STRENGTH_WORDS.get(row.strength, row.strength),
            "What tells it": row.tells or "nothing said",
            "Note": row.note or "none",
            "Source": row.source,
        }
    return _remedy_values(book, row)


def _fault_values(book: Catalogue, row: Fault) -> dict[str, str]:
    return {
        "Label": row.label,
        "Garment and zone": f"{row.kind}, {book.zone_name(row.kind, row.zone).lower()}",
        "Sign": row.sign,
        "How to look": row.look,
        "Amount": row.measure or "none taken",
        "Left and right": "told apart" if row.sided else "not told apart",
        "Shows": stages_words(row.stages),
        "Source": row.source,
    }


def _remedy_values(book: Catalogue, row: Remedy) -> dict[str, str]:
    return {
        "Cause": book.cause_name(row.cause),
        "Garment": row.kind,
        "What is done": work_words(row),
        "Side": seams.SIDE_NAMES.get(row.side, row.side) or "as seen",
        "Amount": rule_words(row),
        "Only when seen as": ", ".join(map(book.fault_label, row.faults)) or "any of its faults",
        "Done": stages_words(row.stages),
        "Note": row.note or "none",
        "Source": row.source,
    }


def stages_words(stages: tuple[str, ...]) -> str:
    return ", ".join(STAGE_WORDS.get(stage, stage) for stage in stages)
