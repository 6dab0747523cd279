"""Lengths in templates: in a unit, and with drawn fractions."""

import re
from functools import lru_cache
from html import escape

from django import template
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from customers.lengths import Length

register = template.Library()

# A whole number stays on the line of its fraction: "1" left alone above "1/4" would be misread.
MIXED = re.compile(r"(?<![0-9/.])([0-9]+ [0-9]+/[0-9]+)(?![0-9/])")
FRACTION = re.compile(r"(?<![0-9/])([0-9]+/[0-9]+)(?![0-9/])")


@register.filter
def fractions(text: str) -> SafeString:
    """Text with each ``11/16`` in it drawn as a fraction, so that 1 1/4 is never read as 11/4."""
    # A SafeString equals the same plain text and must not be answered in its place.
    return _drawn(text) if type(text) is str else _drawn(str(conditional_escape(text)), safe=True)


@lru_cache(maxsize=4096)  # the same few hundred lengths stand on every page of measures
def _drawn(text: str, *, safe: bool = False) -> SafeString:
    html = text if safe else escape(text)
    whole = MIXED.sub(r'<span class="mixed">\1</span>', html)
    return mark_safe(FRACTION.sub(r'<span class="fraction">\1</span>', whole))  # noqa: S308 - escaped


@register.filter
def in_unit(length: Length | None, unit: str) -> SafeString:
    """A length in ``unit`` with drawn fractions: ``{{ amount|in_unit:unit }}``; empty for None."""
    return fractions("" if length is None else length.text(unit))
