"""A line cut into words, each with what it may be taken for."""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from rapidfuzz import process
from rapidfuzz.distance import OSA

from customers.lengths import Length
from fittings.callout.heard import Slip
from fittings.callout.vocabulary import NUMBERS, PARTS, UNITS, Vocabulary

_PIECE: Final = re.compile(
    r"(?P<number>\d+ ?[/\N{FRACTION SLASH}] ?\d+|\d*[.,]\d+(?![\d/])|\d+)(?P<th>ths?\b)?"
    r"|(?P<vulgar>[¼½¾⅛⅜⅝⅞])"
    r"|(?P<word>[^\W\d_]+(?:['\N{RIGHT SINGLE QUOTATION MARK}][^\W\d_]+)*)"
    r"|(?P<quote>\"|''|\N{DOUBLE PRIME}|\N{RIGHT DOUBLE QUOTATION MARK})"
    r"|(?P<soft>[,\N{EM DASH}\N{EN DASH}(){}\[\]:])|(?P<hard>[.;!?\n\r]+)"
    r"|(?P<space>[^\S\n\r]+|[-'\N{LEFT SINGLE QUOTATION MARK}\N{RIGHT SINGLE QUOTATION MARK}"
    r"\N{LEFT DOUBLE QUOTATION MARK}])|(?P<other>.)",
    re.DOTALL,
)
CONTENT: Final = frozenset(
    ("word", "soft", "maybe", "unknown", "amount", "left", "right", "both", "other", "clean")
) | {"rest", "same", "correction", "back", "not"}
SIDES: Final = {"left": "L", "right": "R", "both": "both"}
_MOST: Final = 4  # words a slip is held against in the end


@dataclass(frozen=True, slots=True)
class Alt:
    """A stem a word may be taken for, the slip forgiven on the way if there was one."""

    stem: str
    slip: Slip | None = None


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of the line. `role` says what part it plays; `text` as resolved, in small letters.

    `doubt`: taken for something else than it says, so that what rests on it is asked.
    """

    start: int
    end: int
    role: str
    text: str
    alts: tuple[Alt, ...] = ()
    slips: tuple[Slip, ...] = ()
    amount: Length | None = None
    doubt: bool = False


def cut(text: str, words: Vocabulary) -> list[Token]:
    """The pieces of the line with their slips forgiven, word by word."""
    pieces = [token for token in map(_token, _PIECE.finditer(text)) if token.role != "space"]
    return [each for token in _sounded(pieces, words) for each in _resolved(token, words)]


def _token(match: re.Match[str]) -> Token:
    role = next(name for name, found in match.groupdict().items() if found is not None)
    said = match[0].lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    if role == "vulgar":
        role, said = "number", unicodedata.normalize("NFKC", said).replace("\u2044", "/")
    if role == "other" and unicodedata.category(match[0]) in ("Po", "Pc", "Pd", "Cc", "Cf"):
        role = "space" if not match[0].isprintable() else "unknown"
    role = {"quote": "word", "other": "unknown", "soft": "comma", "hard": "stop"}.get(role, role)
    said = (
        '"'
        if match["quote"]
        else said.removesuffix("ths").removesuffix("th")
        if match["th"]
        else said
    )
    return Token(match.start(), match.end(), role, said)


def _sounded(pieces: Sequence[Token], words: Vocabulary) -> Iterator[Token]:
    """Misheard words put right: a run of them first, where one is known."""
    at = 0
    while at < len(pieces):
        pair = tuple(piece.text for piece in pieces[at : at + 2])
        meant = words.sounds.get(pair) if len(pair) > 1 and pieces[at].role == "word" else None
        if meant and len(meant) > 1:
            one, two = pieces[at : at + 2]
            slip = Slip(" ".join(pair), " ".join(meant))
            yield replace(one, text=meant[0], slips=(slip,))
            yield replace(two, text=meant[1], slips=(slip,))
            at += 2
            continue
        yield pieces[at]
        at += 1


def known(word: str, words: Vocabulary) -> bool:
    """Whether the word is read as it stands."""
    return (
        word in words.singles
        or word in NUMBERS
        or word in UNITS
        or word == "point"
        or word.removesuffix("s") in PARTS
        or words.root(word) in words.stems
    )


def _resolved(token: Token, words: Vocabulary) -> Iterator[Token]:
    if token.role != "word":
        yield token
        return
    heard = words.sounds.get((token.text,), ())
    own = known(token.text, words)
    if len(heard) == 1 and not own:
        slip = Slip(token.text, heard[0])
        yield replace(token, text=heard[0], alts=(Alt(words.root(heard[0]), slip),), slips=(slip,))
        return
    if not own and token.text in words.ordinary:
        yield replace(token, role="unknown", alts=(Alt(words.root(token.text)),))
        return
    if own:
        extra = tuple(Alt(words.root(h), Slip(token.text, h)) for h in heard)
        yield replace(token, alts=(Alt(words.root(token.text)), *extra))
        return
    yield _forgiven(token, words)


def _forgiven(token: Token, words: Vocabulary) -> Token:
    near = _near(token.text, words.spelt)
    if not near:
        return replace(token, role="unknown", alts=(Alt(words.root(token.text)),))
    best = near[0][1]
    first = [word for word, distance in near if distance == best]
    alts = {words.root(w): Alt(words.root(w), Slip(token.text, w)) for w, _ in reversed(near)}
    one = len({words.root(w) for w in first}) == 1 or set(first) <= UNITS.keys()
    text = first[0] if one else token.text
    slips = (Slip(token.text, text),) if text != token.text else ()
    return replace(token, text=text, alts=tuple(alts.values()), slips=slips)


@lru_cache(maxsize=4096)
def _near(word: str, spelt: tuple[str, ...]) -> tuple[tuple[str, int], ...]:
    """The words it may be a slip of, nearest first: one slip, two in a word of seven letters."""
    size = len(word)
    most = 0 if size < 3 else 1 if size < 7 else 2  # noqa: PLR2004 - the rule just stated
    if not most or size > 24:  # noqa: PLR2004 - no word of the trade is longer
        return ()
    found = process.extract(word, spelt, scorer=OSA.distance, score_cutoff=most, limit=None)
    # of equals the one with the same ending, so that one of many stays many
    near = sorted(
        (int(distance), w[-1] != word[-1], w)
        for w, distance, _ in found
        if _alike(word, w, int(distance))
    )
    return tuple((w, distance) for distance, _, w in near[:_MOST])


def _alike(word: str, meant: str, distance: int) -> bool:
    """Short words and double slips are forgiven only behind the same first letter."""
    if len(word) == 3:  # noqa: PLR2004 - three letters: one left out, no more
        return word[0] == meant[0] and len(meant) == len(word) + 1
    return len(meant) > 2 and (distance == 1 or word[0] == meant[0])  # noqa: PLR2004
