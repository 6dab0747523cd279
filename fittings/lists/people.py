"""Whether the customer of a row is known already: in the ledger, or further up in the same list.

Sure is only what a house said itself: our number, its own reference, or within one list the same
name with the same telephone or e-mail. Everything else that is alike is proposed with its reasons,
and a person decides: two of a family share a telephone, and two strangers a name.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from customers.searching import PHONE_END, digits, fold
from fittings.lists.rows import Plan

SHORTEST_PHONE: Final = 6  # digits: fewer are no number to know a person by
MOST_PROPOSED: Final = 5
ALIKE: Final = (("name", "same name"), ("phone", "same telephone"), ("email", "same e-mail"))


@dataclass(frozen=True, slots=True)
class Known:
    """Someone there is. ``row`` is their first row in the list, ``pk`` their key in the ledger."""

    name: str
    phone: str
    email: str
    shown: str
    pk: int | None = None
    number: str = ""
    row: int | None = None
    reference: str = ""

    @classmethod
    def of_plan(cls, plan: Plan) -> "Known":
        person = plan.person
        return cls(
            name=fold(f"{person.given_name} {person.family_name}"),
            phone=phone_end(person.phone),
            email=person.email.casefold(),
            shown=" ".join(filter(None, (person.given_name, person.family_name))),
            row=plan.row,
            reference=fold(plan.reference),
        )


@dataclass(frozen=True, slots=True)
class Proposal:
    """Someone the row's customer may be, and why."""

    known: Known
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the row's customer stands: surely ``same`` as one known, perhaps one of ``perhaps``."""

    same: Known | None = None
    perhaps: tuple[Proposal, ...] = ()


class Index:
    """People by what makes them alike."""

    def __init__(self, people: Iterable[Known] = ()) -> None:
        self._by: dict[tuple[str, str], list[Known]] = defaultdict(list)
        for known in people:
            self.add(known)

    def add(self, known: Known) -> None:
        for key in _keys(known):
            self._by[key].append(known)

    def find(self, what: str, value: str) -> list[Known]:
        return self._by.get((what, value), []) if value else []


def phone_end(text: str) -> str:
    """The digits by which two ways of writing one telephone are the same; nothing when too few."""
    found = digits(text)
    return found[-PHONE_END:] if len(found) >= SHORTEST_PHONE else ""


def place(plan: Plan, ledger: Index, earlier: Index) -> Standing:
    """Where the customer of ``plan`` stands beside the ledger's people and the rows above."""
    me = Known.of_plan(plan)
    if plan.number:
        found = ledger.find("number", plan.number)
        return Standing(same=found[0] if found else None)
    if me.reference and (again := earlier.find("reference", me.reference)):
        return Standing(same=again[0])
    for what, value in (("phone", me.phone), ("email", me.email)):
        for other in earlier.find(what, value):
            if other.name == me.name and other.reference == me.reference:
                return Standing(same=other)
    perhaps = _alike(me, earlier, apart=bool(me.reference)) + _alike(me, ledger, apart=False)
    return Standing(perhaps=tuple(perhaps[:MOST_PROPOSED]))


def _alike(me: Known, index: Index, *, apart: bool) -> list[Proposal]:
    """Who shares a name, telephone or e-mail; ``apart``: whoever has a reference is another."""
    reasons: dict[Known, list[str]] = defaultdict(list)
    for what, words in ALIKE:
        for known in index.find(what, getattr(me, what)):
            if not (apart and known.reference):
                reasons[known].append(words)
    ranked = sorted(reasons.items(), key=lambda pair: -len(pair[1]))
    return [Proposal(known, tuple(said)) for known, said in ranked]


def _keys(known: Known) -> list[tuple[str, str]]:
    values = ("number", "reference", "name", "phone", "email")
    return [(what, getattr(known, what)) for what in values if getattr(known, what)]
