"""Rows of the folios' long tables, each drawn in one go.

A loop of small tags costs several times as much, and these pages show everything there is.
"""

from collections.abc import Iterable
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe

from customers.templatetags.lengths import fractions
from fittings.folios.figure import MeasureRow
from fittings.folios.history import Event
from garments.queries import Inlay
from garments.seams import Seam

register = template.Library()


@register.simple_tag
def event_lines(timed: Iterable[tuple[str, Event]]) -> SafeString:
    """The events of a day; what was struck out is shown struck, with who and when."""
    return _whole("".join(_event_line(time, event) for time, event in timed))


def _event_line(time: str, event: Event) -> str:
    text, note = fractions(event.text), ""
    if event.note:
        note = f". <q>{escape(event.note)}</q>"
    if event.struck:
        told = f'<s class="struck">{text}{note}</s> <b>{escape(event.struck)}</b>'
    elif event.url:
        told = f'<a class="reach" href="{escape(event.url)}">{text}</a>{note}'
    else:
        told = f"{text}{note}"
    return (
        f'<li><span class="time">{time}</span> <span class="what">{event.what}</span> '
        f'<div class="told">{told} <span class="quiet">– {escape(event.who)}</span></div></li>'
    )


@register.simple_tag
def measure_rows(rows: Iterable[MeasureRow]) -> SafeString:
    """The rows of some measures over time; a dash where nothing was measured."""
    return _whole("".join(_measure_row(row) for row in rows))


def _measure_row(row: MeasureRow) -> str:
    drawn = (fractions(text or "–") for text in row.cells)
    cells = "".join(f'<td class="number length">{text}</td>' for text in drawn)
    name = f"{row.name}, {row.side}" if row.side else row.name
    return f'<tr><th scope="row">{escape(name)}</th>{cells}</tr>'


@register.simple_tag
def inlay_rows(seams: Iterable[tuple[Seam, list[Inlay]]]) -> SafeString:
    """What is inside each seam: left and right, or the one place across both columns."""
    rows = []
    for seam, places in seams:
        cells = "".join(_inlay_cell(place) for place in places)
        rows.append(f'<tr><th scope="row">{escape(seam.name)}</th>{cells}</tr>')
    return _whole("".join(rows))


def _inlay_cell(place: Inlay) -> str:
    across = "" if place.side else ' colspan="2"'
    cell = f'<td{across}><span class="length">{fractions(place.told)}</span>'
    if place.changed:
        cell += f' <span class="length hint">once {fractions(place.normal_text)}</span>'
    return f"{cell}</td>"


def _whole(html: str) -> SafeString:
    """HTML whose parts were escaped one by one."""
    return mark_safe(html)  # noqa: S308 - see above
