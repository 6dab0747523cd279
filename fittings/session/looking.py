"""What may be said of a garment at a fitting, and what is usually done about it.

The catalogue's rows put in terms of one session: its purpose, the side and the amount seen.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from customers.lengths import Length
from fittings import catalogue
from fittings.housebook.queries import house_catalogue
from fittings.models import Booking, Observation
from garments import seams

Purpose = Booking.Purpose
# The stage of the garment by what the fitting is for: a fault that cannot show yet comes last.
STAGE_OF: Final[Mapping[str, str]] = MappingProxyType(
    {Purpose.FIRST: "baste", Purpose.FORWARD: "forward"}
)
FINISHED: Final = "finished"


@dataclass(frozen=True)
class Usual:
    """A usual alteration of a fault as seen: for which cause, where, how much.

    ``amount`` is None when the operation takes none, or when none was measured: ``asks_amount``
    tells the two apart. ``wanted`` is what stays wrong although the most was given.
    """

    cause: catalogue.Cause
    tells: str
    note: str
    operation: str
    seam: str
    side: str
    amount: Length | None
    asks_amount: bool
    wanted: Length

    @property
    def key(self) -> str:
        """What names it among the usual alterations of its fault."""
        return f"{self.cause.key}:{self.operation}:{self.seam}"


def stage_of(purpose: str) -> str:
    return STAGE_OF.get(purpose, FINISHED)


def refusals(kind: str, zone: str, fault: str, side: str) -> dict[str, str]:
    """What is wrong with an observation as written, by field; empty when nothing is."""
    if zone not in {row.key for row in house_catalogue().zones_of(kind)}:
        return {"zone": f"There is no such zone on a {kind}."}
    if not fault:
        return {"side": "A clean zone has no side."} if side else {}
    here = {row.key: row for row in house_catalogue().faults_of(kind, zone)}
    if fault not in here:
        return {"seen": "That fault is not seen at this zone."}
    if here[fault].sided and side not in ("L", "R", "both"):
        return {"seen": "Say left, right or both."}
    if not here[fault].sided and side:
        return {"seen": "There is no left or right here."}
    return {}


def usual(
    kind: str, purpose: str, fault: str, side: str, measured: Length | None
) -> tuple[Usual, ...]:
    """What is usually done about a fault seen on ``side``.

    The first alteration of each cause, the strongest cause first, so that causes stand side by
    side to be told apart; then what else may be done for each.
    """
    book = house_catalogue()
    if fault not in book.fault_by_key:
        return ()  # retired since it was seen
    found = book.remedies_for(fault, kind, side=side, stage=stage_of(purpose))
    firsts = list({offer.cause.key: offer for offer in reversed(found)}.values())[::-1]
    rest = [offer for offer in found if offer not in firsts]
    offers = [_usual(offer, side, measured) for offer in (*firsts, *rest)]
    # Two rows may come to the same work on the side seen: it is offered once.
    once = {(offer.operation, offer.seam, offer.side): offer for offer in reversed(offers)}
    return tuple(once.values())[::-1]


def usual_for_cause(
    book: catalogue.Catalogue, kind: str, purpose: str, cause: str, seen: Observation
) -> tuple[Usual, ...]:
    """What is usually done about a fault seen when this cause is behind it, the usual way first."""
    links = book.causes_of(seen.fault, seen.side) if seen.fault in book.fault_by_key else ()
    link = next((row for row in links if row.cause == cause), None)
    if link is None:
        return ()
    rows = book.remedies_of(cause, kind, seen.fault, stage_of(purpose))
    offers = (catalogue.Suggestion(book.cause(cause), link, row) for row in rows)
    return tuple(_usual(offer, seen.side, seen.amount) for offer in offers)


def _usual(offer: catalogue.Suggestion, side: str, measured: Length | None) -> Usual:
    amount = offer.amount_for(measured)
    takes_amount = seams.operation(offer.remedy.operation).takes_amount
    return Usual(
        cause=offer.cause,
        tells=offer.link.tells,
        note=offer.remedy.note,
        operation=offer.remedy.operation,
        seam=offer.seam,
        side=offer.side_for(side),
        amount=amount if takes_amount else None,
        asks_amount=takes_amount and amount is None,
        wanted=offer.remedy.left_over(measured),
    )


def zone_name(kind: str, key: str) -> str:
    """The zone as it is called; its key for one the catalogue has dropped since."""
    return house_catalogue().zone_name(kind, key)


def fault_label(key: str) -> str:
    """The fault as its tile says it, or said it; its key for one dropped since."""
    return house_catalogue().fault_label(key)
