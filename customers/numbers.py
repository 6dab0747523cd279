"""Numbers people read aloud: a prefix, a running number and an ISO/IEC 7064 MOD 37-2 character.

The check character catches every single wrong character and every pair turned round. It may be
``*``; such numbers are passed over, because an asterisk is awkward on the phone and in an address.
"""

import re

from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_37_2

STAR = "*"


def with_check(prefix: str, serial: int) -> str:
    """``G`` and 1042 make ``G1042-X``; raises ValueError when the check character is ``*``."""
    body = f"{prefix}{serial}"
    check = mod_37_2.calc_check_digit(body)
    if check == STAR:
        raise ValueError(f"{body} has no readable check character")
    return f"{body}-{check}"


def next_number(prefix: str, last_serial: int) -> tuple[str, int]:
    """The next readable number after ``last_serial`` and its serial."""
    serial = last_serial + 1
    while mod_37_2.calc_check_digit(f"{prefix}{serial}") == STAR:
        serial += 1
    return with_check(prefix, serial), serial


def tidy(text: str) -> str:
    """A number as typed or spoken (``g 1042 x``) in its one written form, or ValueError.

    Spaces, hyphens and case do not matter; a wrong check character does.
    """
    compact = "".join(ch for ch in text.upper() if ch.isascii() and ch.isalnum())
    if len(compact) > 20:  # noqa: PLR2004 - no number of ours is near this long
        raise ValueError("That is too long to be a number of the house.")
    try:
        mod_37_2.validate(compact)
    except ValidationError as error:
        raise ValueError("The check character does not fit: look at the number again.") from error
    return f"{compact[:-1]}-{compact[-1]}"


def beginnings(prefix: str, text: str) -> tuple[str, ...]:
    """How the numbers begin that ``text`` may stand for while it is being typed.

    ``1042``, ``c1042`` and ``C 1042-x`` all lead to C1042-X. Nothing when it is no number.
    """
    compact = "".join(ch for ch in text[:40].upper() if ch.isascii() and ch.isalnum())
    shape = re.fullmatch(rf"{prefix}?([0-9]+)([A-Z]?)", compact)
    if shape is None:
        return ()
    figures, check = shape.groups()
    if check:
        return (f"{prefix}{figures}-{check}",)
    # The check character may be a figure as well.
    return (f"{prefix}{figures}", f"{prefix}{figures[:-1]}-{figures[-1]}")


class NumberConverter:
    """The part of an address that is a number of the house: nothing else reaches a view."""

    regex = "[A-Z][0-9]{1,12}-[0-9A-Z]"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value
