"""Text folded for finding: case, accents and marks do not matter. Pure."""

import unicodedata

# Letters that Unicode does not take apart into a plain letter and a mark.
PLAIN = str.maketrans(
    {
        "\N{LATIN SMALL LETTER DOTLESS I}": "i",
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "ð": "d",
        "þ": "th",
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
    }
)
APOSTROPHES = dict.fromkeys(
    map(ord, "'\N{RIGHT SINGLE QUOTATION MARK}\N{MODIFIER LETTER APOSTROPHE}")
)
PHONE_END = 8  # digits: hardly two customers share as many, and national numbers have them


def fold(text: str) -> str:
    """``Özge O'Byrne-Åse`` becomes ``ozge obyrne ase``: words apart by one space."""
    low = text.casefold().translate(PLAIN)
    bare = "".join(ch for ch in unicodedata.normalize("NFKD", low) if not unicodedata.combining(ch))
    kept = "".join(ch if ch.isalnum() else " " for ch in bare.translate(APOSTROPHES))
    return " ".join(kept.split())


def digits(text: str) -> str:
    """The digits of a phone number: how it is kept for finding."""
    return "".join(ch for ch in text if ch in "0123456789")


def phone_part(text: str) -> str:
    """What to look for in kept digits when ``text`` is a phone number as typed, else nothing.

    ``+44 1632 960101`` and ``01632 960101`` are one telephone in two ways of writing: of a whole
    international number the end is looked for, of a national one all but its leading zeros.
    """
    if set(text) - set("0123456789 +-()./"):
        return ""
    found = digits(text)
    international = text.strip().startswith(("+", "00"))
    if international and len(found) > PHONE_END:
        return found[-PHONE_END:]
    return found.lstrip("0")
