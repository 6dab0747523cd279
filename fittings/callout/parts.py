"""The line's tokens put into their parts: sides, clean words, what is passed over, what is read."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest
from typing import Final

from fittings.callout.amounts import join_amounts
from fittings.callout.heard import Slip
from fittings.callout.stems import stem
from fittings.callout.tokens import CONTENT, Alt, Token, cut
from fittings.callout.vocabulary import NUMBERS, Vocabulary

WANTS: Final = frozenset(
    ("wants", "want", "wanted", "needs", "needs to be", "wants to be", "want to be")
) | {"should", "should be"}
_PAIRS: Final = (("long", "short"), ("high", "low"), ("wide", "narrow"), ("tight", "loose"))
OPPOSITES: Final = {stem(one): other for pair in _PAIRS for one, other in (pair, pair[::-1])}


def parts_of(text: str, words: Vocabulary, unit: str) -> list[Token]:
    """Every word of the line with its role; see `CONTENT` for the roles that are read."""
    joined = join_amounts(cut(text, words), words, unit)
    folded = [_settled(token, words) for token in _folded(joined, words)]
    return list(_turned(list(_measured(folded)), words))


def _measured(tokens: Sequence[Token]) -> Iterator[Token]:
    """A good half inch speaks of the amount, and calls nothing clean."""
    for token, follows in zip_longest(tokens, tokens[1:]):
        of_amount = token.role == "clean" and follows is not None and follows.role == "amount"
        yield replace(token, role="filler") if of_amount else token


def _turned(tokens: Sequence[Token], words: Vocabulary) -> Iterator[Token]:
    """What a garment wants is the other way round from what is wrong: wants to be longer."""
    wanted = False
    for token in tokens:
        if token.role in ("comma", "stop", "joint"):
            wanted = False
        other = OPPOSITES.get(token.alts[0].stem) if wanted and token.alts else None
        if token.text in WANTS:
            wanted = True
        if other is None or token.role != "word":
            yield token
            continue
        slip = Slip(f"wants {token.text}", other)
        yield replace(token, alts=(Alt(words.root(other), slip),), slips=(slip,), doubt=True)
        wanted = False


def _folded(tokens: Sequence[Token], words: Vocabulary) -> list[Token]:
    """Common phrases of one word or many, each made one token, the longest first."""
    found: list[Token] = []
    at = 0
    while at < len(tokens):
        for length in range(min(words.longest, len(tokens) - at), 0, -1):
            run = tokens[at : at + length]
            if run[0].role != "word" or run[-1].role != "word":
                continue
            means = words.common.get(tuple(t.text for t in run if t.role != "comma"))
            if means:
                found.append(_as_one(run, means))
                at += length
                break
        else:
            found.append(tokens[at])
            at += 1
    return found


def _as_one(run: Sequence[Token], means: str) -> Token:
    slips = tuple(slip for token in run for slip in token.slips)
    text = " ".join(token.text for token in run)
    alts = run[0].alts if len(run) == 1 else ()
    return replace(run[0], end=run[-1].end, role=means, text=text, slips=slips, alts=alts)


def _settled(token: Token, words: Vocabulary) -> Token:
    """A number that is no amount, and a word of amounts alone, are words nobody understands."""
    if token.role == "word" and token.text in NUMBERS:
        return replace(token, role="soft")
    if token.role == "number":
        return replace(token, role="unknown")
    if token.role == "filler" and any(alt.slip for alt in token.alts):
        return replace(token, role="maybe")
    if token.role == "word" and not any(alt.stem in words.stems for alt in token.alts):
        return replace(token, role="unknown")
    return token


def is_content(token: Token) -> bool:
    return token.role in CONTENT
