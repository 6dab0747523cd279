"""The lines of the data files, and entries written as the files write them."""

import tomllib
from fractions import Fraction
from pathlib import Path

from customers.lengths import NM
from fittings import catalogue
from fittings.callout import read_line

HERE = Path(__file__).parent


def lines(name):
    return tomllib.loads((HERE / f"{name}.toml").read_text())["phrase"]


def heard(line):
    """What is read of a line of a file."""
    return read_line(line["say"], catalogue.load(), line["kind"], line.get("unit", "in"))


def written(entry):
    """An entry as `hear` has it; see the head of phrases.toml."""
    if entry.rest:
        return "rest clean"
    amount = _amount(entry.amount)
    first = entry.choices[0]
    if not first.fault:
        return f"{first.zone} clean"
    if [choice.side for choice in entry.choices] == ["L", "both", "R"]:
        return f"{first.fault} ? {amount}".strip()
    choices = " | ".join(f"{choice.fault} {choice.side}".strip() for choice in entry.choices)
    return f"{choices} {amount}".strip() if entry.sure else f"? {choices} {amount}".strip()


def _amount(length):
    if length is None:
        return ""
    is_inches = Fraction(length.nm, NM["in"]).denominator in (1, 2, 4, 8, 16)
    return length.text("in" if is_inches else "cm").removesuffix(" in")
