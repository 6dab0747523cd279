"""Where a figure of the trade comes from, as a reader can look it up."""

from django import template

from fittings import catalogue
from fittings.catalogue.citing import in_full

register = template.Library()


@register.filter
def cited(source: str) -> str:
    """``TM 25; FL`` with the titles of the books. The house's own words stay as they are."""
    return in_full(source, catalogue.load().sources)
