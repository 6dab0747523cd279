"""What a code scanned from a paper, or a number typed from it, stands for. No query, no clock."""

import re
from typing import NamedTuple

from customers import numbers

# The number in an address or alone. What stands before its check character is whatever a scanner
# that types for another keyboard makes of the hyphen; so is what stands before the revision.
SHAPE = re.compile(
    r"(?<![0-9A-Z])([A-Z])[^0-9A-Z]?([0-9]{1,12})[^0-9A-Z]{0,2}([0-9A-Z])(?![0-9A-Z])"
    r"(?:[^0-9A-Z]{1,3}(?:REVISION[^0-9A-Z]{0,2}|R)?([0-9]{1,4})(?![0-9A-Z]))?",
    re.IGNORECASE | re.ASCII,
)
OTHERS = {"G": "a garment", "C": "a customer"}
LONGEST = 300


class Scanned(NamedTuple):
    """A ticket's number, and the revision of the paper; 0 where only the number was given."""

    number: str
    revision: int


def read_code(text: str) -> Scanned:
    """The ticket that a scanned address or a typed number names: ``T1001-H``, ``t1001h 2``.

    ValueError, with a sentence for the person, for what is no number of a ticket.
    """
    # Of an address the number is the last such part: a host may look like one.
    found = list(SHAPE.finditer(text[:LONGEST]))
    if not found:
        raise ValueError("That is no ticket's code: scan it again, or type the number, as T1001-H.")
    prefix, figures, check, revision = found[-1].groups()
    number = numbers.tidy(f"{prefix}{figures}{check}")
    if prefix.upper() != "T":
        what = OTHERS.get(prefix.upper(), "no ticket")
        raise ValueError(f"{number} is the number of {what}: scan or type the ticket's.")
    return Scanned(number, int(revision or 0))
