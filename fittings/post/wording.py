"""How messages read: words of the house with places in square brackets, filled in once.

A place is a name of ``PLACES`` and nothing else; there is no code in it, no format and no nesting,
so that whoever may edit the words can do nothing but word them. What is filled in is never read
again: a customer called "[house]" stays so called.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

PLACES = {
    "customer": "the customer's name, as spoken",
    "house": "the name of the house",
    "address": "where the house is",
    "day": "the day of the fitting, such as Monday 2 February 2026",
    "time": "when it begins, such as 10:00",
    "purpose": "what it is for, such as first fitting",
    "fitter": "who fits",
    "garments": "what is fitted or ready, such as coat and waistcoat",
    "before": "the day and time that it had before",
}
OF_BOOKING = ("customer", "house", "address", "day", "time", "purpose", "fitter", "garments")
ALLOWED = {
    "confirmation": OF_BOOKING,
    "reminder": OF_BOOKING,
    "change": (*OF_BOOKING, "before"),
    "cancellation": OF_BOOKING,
    "ready": ("customer", "house", "address", "garments"),
}
PLACE = re.compile(r"\[([a-z]+)\]")
BRACKETED = re.compile(r"\[[^\[\]]*\]|[\[\]]")
SHIPPED = Path(__file__).parent / "data" / "wordings.toml"


@dataclass(frozen=True, slots=True)
class Words:
    """How one kind of message reads: the letter's subject and body, and the text for a phone."""

    subject: str
    body: str
    short: str

    def filled(self, values: Mapping[str, str]) -> "Words":
        """The words with every place filled in; the subject on one line, as a header must be."""
        subject = " ".join(fill(self.subject, values).split())
        return Words(subject, fill(self.body, values), " ".join(fill(self.short, values).split()))


def wrong_in(text: str, kind: str) -> list[str]:
    """What keeps ``text`` from being words of that kind of message: a sentence for each."""
    allowed = ALLOWED[kind]
    wrong = []
    for found in dict.fromkeys(BRACKETED.findall(text)):
        place = PLACE.fullmatch(found)
        if place is None:
            wrong.append(
                f"“{found[:40]}” is no place: brackets stand only around one of the words."
            )
        elif place[1] not in PLACES:
            wrong.append(f"There is no place “{found[:40]}”: choose one of the list.")
        elif place[1] not in allowed:
            wrong.append(f"“{found}” is not known in this message: choose one of the list.")
    return wrong


def fill(text: str, values: Mapping[str, str]) -> str:
    """``text`` with its places filled in, in one pass. KeyError for a place without a value."""
    return PLACE.sub(lambda place: values[place[1]], text)


@cache
def shipped() -> Mapping[str, Words]:
    """The words that come with the program, by kind, until the house has its own."""
    with SHIPPED.open("rb") as file:
        read = tomllib.load(file)
    return {
        kind: Words(row["subject"], row["body"].strip(), " ".join(row["short"].split()))
        for kind, row in read.items()
    }
