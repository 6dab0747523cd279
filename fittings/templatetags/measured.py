"""What was measured on a garment, put beside the zones of panels that were drawn before."""

import re
from collections.abc import Iterable, Mapping
from typing import Final

from django import template
from django.utils.safestring import SafeString, mark_safe

from customers.templatetags.lengths import fractions

register = template.Library()
PLACE: Final = re.compile(r"<!--measured ([a-z-]+)-->")


@register.filter
def with_measured(panels: SafeString, by_zone: Mapping[str, Iterable[str]] | str) -> SafeString:
    """Each zone's panel with its one line; the panels are the same for everyone, this is not.

    ``by_zone`` is empty where the page does not tell it.
    """

    def line(place: re.Match[str]) -> str:
        said = "; ".join(by_zone.get(place[1], ())) if isinstance(by_zone, Mapping) else ""
        return f'<p class="measured">{fractions(said)}</p>' if said else ""

    return mark_safe(PLACE.sub(line, panels))  # noqa: S308 - a template's, and escaped by the filter
