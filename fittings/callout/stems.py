"""A word without its ending, so that pulls, pulling and pulled are one."""

import re
from functools import lru_cache
from typing import Final

_VOWEL: Final = re.compile("[aeiouy]")
_DOUBLED: Final = re.compile(r"([bdgmnprt])\1$")
_SHORT: Final = 3


@lru_cache(maxsize=4096)
def stem(word: str) -> str:
    """The word in small letters without 's, -s, -es, -ed, -ing and a last silent e."""
    plain = word.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").removesuffix("'s")
    plain = plain.removesuffix("'")
    for ending in ("ing", "ed"):
        root = plain.removesuffix(ending)
        if root != plain and len(root) >= _SHORT and _VOWEL.search(root) and root[-1] != "e":
            plain = _DOUBLED.sub(r"\1", root)
            break
    else:
        plain = _single(plain)
    return plain[:-1] if len(plain) > _SHORT and plain.endswith("e") else plain


def plural(word: str) -> bool:
    """Whether the word speaks of more than one, as far as its ending tells."""
    small = word.lower()
    return small.endswith("s") and not small.endswith(("ss", "'s", "us")) and small != stem(small)


def _single(word: str) -> str:
    if len(word) <= _SHORT or word.endswith(("ss", "us")):
        return word
    if word.endswith("ies"):
        return f"{word[:-3]}y"
    if word.endswith(("ses", "xes", "zes", "ches", "shes")):
        return word[:-2]
    return word.removesuffix("s")
