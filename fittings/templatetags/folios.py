"""Rows of the folios' long tables, each drawn in one go.

A loop of small tags costs several times as much, and these pages show everything there is.
"""

from collections.abc import Iterable
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe

from customers.templatetags.lengths import fractions
from fittings.folios.history import Event
from garments.queries import Inlay

register = template.Library()


@register.simple_tag
def event_line(time: str, event: Event) -> SafeString:
    """One event of a garment's history; what was struck out is shown struck, with who and when."""
    text, note = fractions(event.text), ""
    if event.note:
        note = f". <q>{escape(event.note)}</q>"
    if event.struck:
        told = f'<s class="struck">{text}{note}</s> <b>{escape(event.struck)}</b>'
    elif event.url:
        told = f'<a class="reach" href="{escape(event.url)}">{text}</a>{note}'
    else:
        told = f"{text}{note}"
    return _whole(
        f'<li><span class="time">{time}</span> <span class="what">{event.what}</span> '
        f'<div class="told">{told} <span class="quiet">– {escape(event.who)}</span></div></li>'
    )


@register.simple_tag
def length_cells(texts: Iterable[str]) -> SafeString:
    """Cells of a table for lengths already in words; a dash where nothing was measured."""
    drawn = (fractions(text or "–") for text in texts)
    return _whole("".join(f'<td class="number length">{text}</td>' for text in drawn))


@register.simple_tag
def inlay_cells(places: Iterable[Inlay]) -> SafeString:
    """What is inside one seam: left and right, or the one place across both columns."""
    return _whole("".join(_inlay_cell(place) for place in places))


def _inlay_cell(place: Inlay) -> str:
    across = "" if place.side else ' colspan="2"'
    cell = f'<td{across}><span class="length">{fractions(place.told)}</span>'
    if place.changed:
        cell += f' <span class="length hint">once {fractions(place.normal_text)}</span>'
    return f"{cell}</td>"


def _whole(html: str) -> SafeString:
    """HTML whose parts were escaped one by one."""
    return mark_safe(html)  # noqa: S308 - see above
