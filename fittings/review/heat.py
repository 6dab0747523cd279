"""The drawn garment with what was seen at each zone: a number and a shade. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from garments import drawing
from garments.drawing import View, Zone

DEEPEST = 0.6  # so that the lines of the drawing stay readable beneath


@dataclass(frozen=True, slots=True)
class Spot:
    """A zone, how often a fault was seen there, and how deep it is shaded."""

    zone: Zone
    times: int
    shade: float
    numbered: bool
    link: str = ""

    @property
    def base(self) -> float:
        """The base line of its number, so that it is centred."""
        return round(self.zone.at.y + 5.5, 1)


@dataclass(frozen=True, slots=True)
class Heated:
    view: View
    spots: list[Spot]

    @property
    def half(self) -> float:
        return self.view.width / 2


def heat(
    kind: str, times: Mapping[str, int], links: Mapping[str, str] | None = None
) -> list[Heated]:
    """Each view of the garment; a zone is numbered once, in the first view that shows it.

    ``links`` lead from a zone to its garments.
    """
    most = max(times.values(), default=0)
    done: set[str] = set()
    views = []
    for view in drawing.views(kind):
        spots = []
        for zone in view.zones:
            count = times.get(zone.key, 0)
            if count:
                shade, link = round(DEEPEST * count / most, 2), (links or {}).get(zone.key, "")
                spots.append(Spot(zone, count, shade, zone.key not in done, link))
            done.add(zone.key)
        views.append(Heated(view, spots))
    return views
