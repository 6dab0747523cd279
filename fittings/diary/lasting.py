"""How long a fitting is kept for: by what it is for, and by how many garments. Pure."""

from fittings.models.diary import Booking

Purpose = Booking.Purpose
# Minutes usually kept for each purpose; common practice, no source.
USUAL = {
    Purpose.MEASURE: 45,
    Purpose.FIRST: 45,
    Purpose.FORWARD: 30,
    Purpose.FINAL: 15,
    Purpose.RETURN: 30,
}
# A further garment is put on and looked at in its turn; a figure is measured once for all of them.
# Common practice, no source.
EACH_MORE = 15
MOST = 120


def minutes_for(purpose: str, garments: int = 1) -> int:
    """The usual minutes, a quarter of an hour more for each further garment, two hours at most."""
    usual = USUAL[Purpose(purpose)]
    if purpose == Purpose.MEASURE:
        return usual
    return min(MOST, usual + EACH_MORE * max(0, garments - 1))
