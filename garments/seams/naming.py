"""What work at a seam is called."""

from garments.seams.rows import SIDE_NAMES, seam
from garments.seams.work import operation


def named_at(name: str, seam_name: str) -> str:
    """``Let out, side seam``; ``Let down hem`` where the work names the seam itself."""
    at = seam_name.lower()
    return name if name.lower().endswith(at) else f"{name}, {at}"


def work_name(kind: str, operation_key: str, seam_key: str) -> str:
    """``Let out, side seam``. UnknownKeyError for a key the tables do not hold."""
    return named_at(operation(operation_key).name, seam(kind, seam_key).name)


def place_name(kind: str, operation_key: str, seam_key: str, side: str = "") -> str:
    """``Let out, side seam, left``: with the side where there is one."""
    parts = (work_name(kind, operation_key, seam_key), SIDE_NAMES[side])
    return ", ".join(part for part in parts if part)
