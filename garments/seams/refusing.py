"""What is wrong with an alteration as written."""

from typing import Final

from customers.lengths import Length, parse
from garments.seams.rows import (
    NOTHING,
    UnknownOperationError,
    UnknownSeamError,
    known_kind,
    seam,
)
from garments.seams.work import Operation, operation

MOST: Final = parse("6")  # no seam moves further; house rule, common practice, no source


def needs_side(kind: str, operation_key: str, seam_key: str) -> bool:
    """Whether left, right or both must be said."""
    return operation(operation_key).sided and seam(kind, seam_key).sided


def refusals(
    kind: str, operation_key: str, seam_key: str, side: str, amount: Length | None
) -> list[str]:
    """What is wrong with an alteration as written, in sentences; empty when nothing is.

    UnknownKeyError only for a kind that does not exist; every other fault is a sentence.
    """
    return list(refusals_by_field(kind, operation_key, seam_key, side, amount).values())


def refusals_by_field(
    kind: str, operation_key: str, seam_key: str, side: str, amount: Length | None
) -> dict[str, str]:
    """The same sentences, each under the part it speaks of: operation, seam, side or amount."""
    known_kind(kind)
    # Side and amount mean something only where operation and seam are known.
    try:
        op, at = operation(operation_key), seam(kind, seam_key)
    except UnknownOperationError as error:
        return {"operation": str(error)}
    except UnknownSeamError as error:
        return {"seam": str(error)}
    found = {}
    if seam_key not in op.seams(kind):
        found["seam"] = f"“{op.name}” is not done at the {at.name.lower()} of a {kind}."
    if needs_side(kind, operation_key, seam_key) and side not in ("L", "R", "both"):
        found["side"] = "Say left, right or both."
    if not needs_side(kind, operation_key, seam_key) and side:
        found["side"] = "There is no left or right here."
    return found | _amount_refusal(op, amount)


def _amount_refusal(op: Operation, amount: Length | None) -> dict[str, str]:
    if not op.takes_amount:
        return {"amount": f"“{op.name}” takes no amount."} if amount else {}
    if amount is None or amount == NOTHING:
        return {"amount": "Say how much."}
    if amount < NOTHING:
        return {
            "amount": "The amount is never below nothing: choose the operation for the other way."
        }
    if amount > MOST:
        return {"amount": f"At most {MOST} in: more is no alteration. Look at the amount again."}
    return {}
