"""The words a list may use for what the ledger has its own for. Common practice, no source."""

from collections.abc import Mapping
from typing import Final

from customers.searching import fold

UNITS: Final = {
    "in": ("in", "ins", "inch", "inches"),
    "cm": ("cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"),
    "mm": ("mm", "mms", "millimetre", "millimetres", "millimeter", "millimeters"),
}
SIDES: Final = {"L": ("left", "l", "lh"), "R": ("right", "r", "rh"), "both": ("both",)}
KINDS: Final = {
    "coat": ("coat", "jacket", "suit coat", "body coat"),
    "waistcoat": ("waistcoat", "vest"),
    "trousers": ("trousers", "trouser", "pants"),
    "overcoat": ("overcoat", "topcoat", "greatcoat"),
}
PATTERNS: Final = {
    "plain": ("plain", "self", "solid"),
    "stripe": ("stripe", "striped", "stripes"),
    "check": ("check", "checks", "checked", "checked cloth"),
}
# Open orders only: a garment delivered is no order of today's any more.
STAGES: Final = {
    "ordered": ("ordered", "order", "new"),
    "cut": ("cut",),
    "basted": ("basted", "basted for fitting", "baste"),
    "first-fitting": ("first fitting", "first fitting held"),
    "altering": ("altering", "being altered", "alteration"),
    "forward-fitting": ("forward fitting", "forward fitting held"),
    "finishing": ("finishing", "being finished"),
    "finished": ("finished", "ready"),
    "final-look": ("final look", "final look held"),
}


def meant(table: Mapping[str, tuple[str, ...]], text: str) -> str:
    """The key whose words ``text`` is one of, case and accents apart; nothing for another."""
    folded = fold(text)
    return next((key for key, words in table.items() if folded in words), "")


def offered(table: Mapping[str, tuple[str, ...]]) -> str:
    """What may be written, for a sentence: ``ordered, cut, basted or finished``."""
    first = [words[0] for words in table.values()]
    return f"{', '.join(first[:-1])} or {first[-1]}"
