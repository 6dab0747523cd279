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


def fold(text: str) -> str:
    """``Özge O'Byrne-Åse`` becomes ``ozge obyrne ase``: words apart by one space."""
    low = text.casefold().translate(PLAIN)
    bare = "".join(ch for ch in unicodedata.normalize("NFKD", low) if not unicodedata.combining(ch))
    kept = "".join(ch if ch.isalnum() or ch == "+" else " " for ch in bare.replace("'", ""))
    return " ".join(kept.split())


def digits(text: str) -> str:
    """The digits of a phone number without a leading trunk zero or plus sign."""
    return "".join(ch for ch in text if ch in "0123456789")
