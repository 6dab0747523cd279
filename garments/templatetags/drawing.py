"""Template tags that put a drawing on a screen or on paper."""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from django import template
from django.template.loader import render_to_string

from garments import drawing
from garments.drawing import Mark, Pin, View, Zone

register = template.Library()

# On a screen the cloth is the colour of a paper slip; on a ticket everything is black on white.
SCREEN = {"cloth": "#fffdf7", "inside": "#ede4d2"}
PAPER = {"cloth": "#ffffff", "inside": "#ffffff"}


@register.simple_tag
def garment_views(
    kind: str, *, pins: Iterable[Pin | tuple[str, str, int | str]] | None = None
) -> tuple[View, ...]:
    """The views of a garment, to loop over: `{% garment_views kind as views %}`.

    With `pins`, only the views on which one of them lies.
    """
    if pins is None:
        return drawing.views(kind)
    return drawing.pinned_views(kind, (Pin(*pin) for pin in pins))


@register.inclusion_tag("drawings/garment.svg")
def garment_drawing(
    kind: str,
    view: str,
    *,
    marks: Mapping[str, Mark | Iterable[Mark]] | None = None,
    links: bool = False,
    pins: Iterable[Pin | tuple[str, str, int | str]] | None = None,
    current: str = "",
    printed: float = 0,
) -> dict[str, Any]:
    """One view of a garment as inline SVG.

    `marks` maps a zone to what was found there; `links` makes each zone a link to #zone-KEY;
    `current` is the zone being looked at. `pins` (seam, side, number) makes it the paper
    drawing: black on white, numbers in the margin with a leader to the seam. `printed` is the
    height of the garment on paper in mm, its margins not counted.
    """
    shown = drawing.view(kind, view)
    sheet = drawing.lay_out(shown, [Pin(*pin) for pin in pins or ()])
    box = (-shown.width / 2, 0, shown.width, shown.height) if pins is None else sheet.box
    scale = printed / shown.height
    return {
        "view": shown,
        "zones": [_zone(zone, marks or {}, current) for zone in shown.zones],
        "links": links,
        "pins": sheet.pins,
        "box": box,
        "size": [f"{side * scale:.1f}mm" for side in box[2:]] if printed else box[2:],
        "art": _art(kind, view, on_paper=pins is not None),
    }


@register.simple_tag
def garment_lines(kind: str, view: str) -> str:
    """The lines of a view alone, for a drawing with marks of its own."""
    return _art(kind, view, on_paper=True)


@cache
def _art(kind: str, view: str, *, on_paper: bool) -> str:
    """The lines, which never change: a fitting screen draws three views at every load."""
    shown = drawing.view(kind, view)
    numbers = {"halves": ("-1", "1"), "buttons": [str(y) for y in shown.buttons]}
    return render_to_string(shown.art, numbers | (PAPER if on_paper else SCREEN))


def _zone(zone: Zone, marks: Mapping[str, Mark | Iterable[Mark]], current: str) -> dict[str, Any]:
    found = drawing.found_at(zone, marks)
    label = f"{zone.name}: {found.words}" if found.state else zone.name
    return {"zone": zone, "found": found, "label": label, "current": zone.key == current}
