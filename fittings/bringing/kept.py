"""Plans and people of a list as they lie in its kept rows (JSON), and back again."""

import datetime
from dataclasses import asdict
from typing import Any

from customers.lengths import Length
from fittings.lists import Column, Finding, Known, Order, Person, Plan, Proposal, TakenSet

Json = dict[str, Any]


def kept_plan(plan: Plan) -> Json:
    return {
        "number": plan.number,
        "reference": plan.reference,
        "person": asdict(plan.person),
        "taken": _kept_set(plan.taken) if plan.taken else None,
        "order": _kept_order(plan.order) if plan.order else None,
        "doubts": list(plan.doubts),
    }


def plan_again(row: int, kept: Json) -> Plan:
    return Plan(
        row=row,
        number=kept["number"],
        reference=kept["reference"],
        person=Person(**kept["person"]),
        taken=_set_again(kept["taken"]) if kept["taken"] else None,
        order=_order_again(kept["order"]) if kept["order"] else None,
        doubts=tuple(kept["doubts"]),
    )


def kept_finding(finding: Finding) -> Json:
    return asdict(finding)


def kept_known(known: Known) -> Json:
    return asdict(known)


def known_again(kept: Json) -> Known:
    return Known(**kept)


def kept_proposal(proposal: Proposal) -> Json:
    return {"known": asdict(proposal.known), "reasons": list(proposal.reasons)}


def columns_again(kept: list[Json]) -> tuple[Column, ...]:
    return tuple(Column(**column) for column in kept)


def _kept_set(taken: TakenSet) -> Json:
    measures = [[point, side, length.nm] for (point, side), length in taken.measures.items()]
    return {
        "taken_on": taken.taken_on.isoformat(),
        "taken_by": taken.taken_by,
        "unit": taken.unit,
        "note": taken.note,
        "measures": measures,
    }


def _set_again(kept: Json) -> TakenSet:
    return TakenSet(
        taken_on=datetime.date.fromisoformat(kept["taken_on"]),
        taken_by=kept["taken_by"],
        unit=kept["unit"],
        note=kept["note"],
        measures={(point, side): Length(nm) for point, side, nm in kept["measures"]},
    )


def _kept_order(order: Order) -> Json:
    days = {
        "ordered_on": order.ordered_on.isoformat(),
        "promised_on": order.promised_on.isoformat() if order.promised_on else None,
    }
    return asdict(order) | days


def _order_again(kept: Json) -> Order:
    promised = kept["promised_on"]
    days = {
        "ordered_on": datetime.date.fromisoformat(kept["ordered_on"]),
        "promised_on": datetime.date.fromisoformat(promised) if promised else None,
    }
    return Order(**(kept | days))
