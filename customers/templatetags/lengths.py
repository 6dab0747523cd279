"""Lengths in templates: in a unit, and with drawn fractions."""

import re

from django import template
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from customers.lengths import Length

register = template.Library()

FRACTION = re.compile(r"(?<![0-9/])([0-9]+/[0-9]+)(?![0-9/])")


@register.filter
def fractions(text: str) -> SafeString:
    """Text with each ``11/16`` in it drawn as a fraction, so that 1 1/4 is never read as 11/4."""
    escaped = conditional_escape(text)
    if "/" not in escaped:
        return escaped
    return mark_safe(FRACTION.sub(r'<span class="fraction">\1</span>', escaped))  # noqa: S308 - escaped above


@register.filter
def in_unit(length: Length | None, unit: str) -> SafeString:
    """A length in ``unit`` with drawn fractions: ``{{ amount|in_unit:unit }}``; empty for None."""
    return fractions("" if length is None else length.text(unit))
