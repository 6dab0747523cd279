"""What work at a seam is called."""

from garments.seams.rows import SIDE_NAMES, seam
from garments.seams.work import operation


def work_name(kind: str, operation_key: str, seam_key: str) -> str:
    """``Let out, side seam``; ``Let down hem`` where the operation names the seam itself.

    UnknownKeyError for a key the tables do not hold.
    """
    name, at = operation(operation_key).name, seam(kind, seam_key).name.lower()
    return name if name.lower().endswith(at) else f"{name}, {at}"


def place_name(kind: str, operation_key: str, seam_key: str, side: str = "") -> str:
    """``Let out, side seam, left``: the seam always named, and the side where one is."""
    parts = (operation(operation_key).name, seam(kind, seam_key).name.lower(), SIDE_NAMES[side])
    return ", ".join(part for part in parts if part)
