"""Parts of the one frame that are the same on page after page."""

from functools import lru_cache

from django import template
from django.conf import settings
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

register = template.Library()
KEPT = 200  # parts, by all that they hang on


@register.simple_tag
def same_for(name: str, **given: object) -> SafeString:
    """The template ``name``, which hangs on what is ``given`` alone: drawn once in a process.

    A third of an empty page was spent on addresses and names of files that never change.
    """
    if settings.DEBUG:
        return render_to_string(name, given)
    return _drawn(name, tuple(sorted(given.items())))


@lru_cache(maxsize=KEPT)
def _drawn(name: str, given: tuple[tuple[str, object], ...]) -> SafeString:
    return render_to_string(name, dict(given))
