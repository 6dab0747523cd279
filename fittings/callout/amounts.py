"""Amounts as they are written and as they are spoken: 3/8, three eighths, an inch and a half."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final, NamedTuple

from customers.lengths import LONGEST, Length, LengthError
from fittings.callout.heard import Slip
from fittings.callout.stems import plural
from fittings.callout.tokens import Token
from fittings.callout.vocabulary import NUMBERS, PARTS, UNITS, Vocabulary

_ARTICLES: Final = ("a", "an")
_PARTS: Final = {f"{name}{s}": under for name, under in PARTS.items() for s in ("", "s")}
_POINTING: Final = ("left", "right", "this", "that", "other", "the")
_DEGREES: Final = (
    "low",
    "high",
    "long",
    "short",
    "tight",
    "wide",
    "loose",
    "deep",
    "narrow",
    "full",
)
_INCH_PARTS: Final = 4  # from quarters down only inches are parted so
_LONGEST_NUMBER: Final = 6  # digits
_NOT_A_UNIT: Final = ("the", "his", "her", "front", "all", "a", "at", "between", "reaching")


class Said(NamedTuple):
    """A number at the head of the tokens: its value, where it ends, what shows its unit."""

    value: Fraction
    end: int
    inch_part: bool = False
    alone: bool = False


def join_amounts(tokens: Sequence[Token], words: Vocabulary, unit: str) -> list[Token]:
    """The tokens with each amount made one of them; `unit` where none is said.

    Quarters, eighths and the like are inches whatever the unit: no tape of centimetres has them.
    """
    found: list[Token] = []
    at = 0
    while at < len(tokens):
        joined = _amount(tokens, at, words, unit)
        if joined is None:
            found.append(tokens[at])
            at += 1
            continue
        token, at = joined
        found.append(token)
    return found


def _amount(
    tokens: Sequence[Token], at: int, words: Vocabulary, unit: str
) -> tuple[Token, int] | None:
    said = None if _pronoun(tokens, at) else _unit_first(tokens, at) or _with_unit(tokens, at)
    if said is None:
        return None
    number, written = said
    if number.alone and not written and _counts(tokens, number.end, words, unit):
        return None
    chosen = written or ("in" if number.inch_part else unit)
    length = _length(number.value, chosen)
    if length is None:
        return None
    parts = tokens[at : number.end]
    slips = tuple(slip for part in parts for slip in part.slips)
    if not written and chosen != unit:
        slips = (*slips, Slip(" ".join(p.text for p in parts), length.text(chosen)))
    token = replace(parts[0], end=parts[-1].end, role="amount", alts=(), slips=slips, amount=length)
    return token, number.end


def _length(value: Fraction, unit: str) -> Length | None:
    if not 0 < value <= LONGEST[unit]:
        return None
    try:
        return Length.of(value, unit)
    except LengthError:
        return None


def _pronoun(tokens: Sequence[Token], at: int) -> bool:
    """Whether `one` stands for a thing: the right one three eighths."""
    after = _text(tokens, at + 1)
    stands = _text(tokens, at) == "one" and _text(tokens, at - 1) in _POINTING
    return stands and after not in ("and", "point", *UNITS)


def _counts(tokens: Sequence[Token], at: int, words: Vocabulary, unit: str) -> bool:
    """Whether a bare number counts what follows it, two folds, or is a `too` misheard, two low."""
    said = _text(tokens, at - 1)
    if said == "one" or (said == "two" and unit == "in" and _text(tokens, at) in _DEGREES):
        return True
    follows = tokens[at] if at < len(tokens) else None
    return (
        follows is not None
        and follows.role == "word"
        and plural(follows.text)
        and (words.root(follows.text) in words.stems)
    )


def _unit_first(tokens: Sequence[Token], at: int) -> tuple[Said, str] | None:
    """An inch and a half; two inches and a quarter."""
    whole = _whole(tokens, at) or (Said(Fraction(1), at) if _unit(tokens, at) else None)
    if whole is None or not (unit := _unit(tokens, whole.end)):
        return None
    end = whole.end + 1
    more = _part(tokens, end + 1) if _text(tokens, end) == "and" else None
    # "an inch and half an inch ...": the half has a unit of its own and is another amount
    if more is None or _unit(tokens, more.end) or _text(tokens, more.end) in _ARTICLES:
        return Said(whole.value, end), unit
    return Said(whole.value + more.value, more.end), unit


def _with_unit(tokens: Sequence[Token], at: int) -> tuple[Said, str] | None:
    number = _mixed(tokens, at) or _part(tokens, at) or _point(tokens, at) or _bare(tokens, at)
    if number is None:
        return None
    after = number.end
    if _text(tokens, after) == "of" and _text(tokens, after + 1) in _ARTICLES:
        after += 2
    elif _text(tokens, after) in _ARTICLES:
        after += 1
    if unit := _unit(tokens, after):
        return Said(number.value, after + 1), unit
    figures = tokens[number.end - 1].role == "number"
    if figures and _text(tokens, number.end) == "in" and not _place(tokens, number.end + 1):
        return Said(number.value, number.end + 1), "in"
    return number, ""


def _place(tokens: Sequence[Token], at: int) -> bool:
    """Whether `in` before this word says where, not in which unit."""
    return _text(tokens, at) in _NOT_A_UNIT


def _mixed(tokens: Sequence[Token], at: int) -> Said | None:
    """One and a half, 1 3/8, two and three quarters."""
    whole = _whole(tokens, at)
    if whole is None or _text(tokens, at) in _ARTICLES:
        return None
    end = whole.end
    joined = _text(tokens, end) == "and"
    part = _part(tokens, end + joined)
    if part is None or (not joined and _text(tokens, end) in (*_ARTICLES, *_PARTS)):
        return None
    return Said(whole.value + part.value, part.end, part.inch_part)


def _part(tokens: Sequence[Token], at: int) -> Said | None:
    """3/8, three eighths, a quarter, half."""
    if (over := _fraction(tokens, at)) is not None:
        return Said(over, at + 1, over.denominator >= _INCH_PARTS)
    count = _whole(tokens, at)
    where = count.end if count else at
    name = _text(tokens, where)
    under = _PARTS.get(name)
    if count and not under and name in ("eight", "8") and count.value in (1, 3, 5, 7):
        under = PARTS["eighth"]
    if under is None:
        return None
    return Said((count.value if count else 1) * Fraction(1, under), where + 1, under >= _INCH_PARTS)


def _point(tokens: Sequence[Token], at: int) -> Said | None:
    """1.5, 1,5, .5, one point five, point five."""
    text = _text(tokens, at)
    if _is_number(tokens, at) and ("." in text or "," in text):
        return Said(Fraction("0" + text.replace(",", ".")), at + 1)
    whole = _whole(tokens, at)
    where = whole.end if whole else at
    after = _whole(tokens, where + 1) if _text(tokens, where) == "point" else None
    if after is None or after.value.denominator != 1:
        return None
    value = (whole.value if whole else 0) + Fraction(f"0.{after.value}")
    return Said(value, after.end)


def _bare(tokens: Sequence[Token], at: int) -> Said | None:
    whole = _whole(tokens, at)
    if whole is None or _text(tokens, at) in _ARTICLES:
        return None
    return Said(whole.value, whole.end, alone=True)


def _whole(tokens: Sequence[Token], at: int) -> Said | None:
    text = _text(tokens, at)
    if _is_number(tokens, at) and text.isascii() and text.isdigit():
        return Said(Fraction(int(text)), at + 1)
    value = 1 if text in _ARTICLES else NUMBERS.get(text)
    return None if value is None else Said(Fraction(value), at + 1)


def _fraction(tokens: Sequence[Token], at: int) -> Fraction | None:
    text = _text(tokens, at).replace("\N{FRACTION SLASH}", "/").replace(" ", "")
    if not _is_number(tokens, at) or "/" not in text or not text.isascii():
        return None
    over, under = (int(part) for part in text.split("/"))
    return Fraction(over, under) if 0 < over < under else None


def _is_number(tokens: Sequence[Token], at: int) -> bool:
    return (
        at < len(tokens)
        and tokens[at].role == "number"
        and (len(tokens[at].text) <= _LONGEST_NUMBER)
    )


def _unit(tokens: Sequence[Token], at: int) -> str:
    return UNITS.get(_text(tokens, at), "")


def _text(tokens: Sequence[Token], at: int) -> str:
    if not 0 <= at < len(tokens) or tokens[at].role not in ("word", "number"):
        return ""
    return tokens[at].text
