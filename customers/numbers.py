"""Numbers people read aloud: a prefix, a running number and an ISO/IEC 7064 MOD 37-2 character.

The check character catches every single wrong character and every pair turned round. It may be
``*``; such numbers are passed over, because an asterisk is awkward on the phone and in an address.
"""

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
