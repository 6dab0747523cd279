"""Whether people can tell the rows apart by their words: none empty, none twice."""

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fittings.catalogue.book import Catalogue


def check(catalogue: "Catalogue") -> Iterator[str]:
    """One sentence for each row that says nothing, or just what another says."""
    for fault in catalogue.faults:
        for name in ("label", "sign", "look"):
            if not getattr(fault, name).strip():
                yield f"fault {fault.key} has no {name}"
    for cause in catalogue.causes:
        for name in ("name", "words"):
            if not getattr(cause, name).strip():
                yield f"cause {cause.key} has no {name}"
    # Two tiles of one zone, or two causes offered, would be taken for each other.
    tiles = Counter(
        (row.kind, row.zone, row.label.casefold()) for row in catalogue.fault_by_key.values()
    )
    yield from (
        f"two faults of {kind} {zone} are called “{label}”"
        for (kind, zone, label), times in tiles.items()
        if times > 1
    )
    causes = Counter(row.name.casefold() for row in catalogue.cause_by_key.values())
    yield from (f"two causes are called “{name}”" for name, times in causes.items() if times > 1)
