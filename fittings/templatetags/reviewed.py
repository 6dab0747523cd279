"""Pieces of the review's pages made a row at a time.

A template walks a row cell by cell, and a page of the review has thousands: a fifth of the time is
enough when a row is one line of text with places for its figures, and next to nothing when the same
figures were a row before: an entry changes few of them.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from fittings.review.charts import Bar, Chart

register = template.Library()
KEPT = 10_000  # rows and bars, some 500 bytes each


@register.simple_tag
def table_rows(lines: Iterable[tuple[Sequence[object], str]]) -> SafeString:
    """The rows of a table from its lines, each with the address its first cell leads to or ""."""
    # Text alone: what is equal is kept once, and must not be another's markup.
    rows = ((tuple(f"{cell}" for cell in line), link) for line, link in lines)
    return SafeString("\n".join(_row(cells, link) for cells, link in rows))


@lru_cache(maxsize=KEPT)
def _row(line: tuple[str, ...], link: str) -> SafeString:
    first = format_html('<a href="{}">{}</a>', link, line[0]) if link else line[0]
    others = format_html_join("", '<td class="number">{}</td>', ((cell,) for cell in line[1:]))
    return format_html('<tr><th scope="row">{}</th>{}</tr>', first, others)


@register.simple_tag
def chart_bars(chart: Chart) -> SafeString:
    """The groups of an interval chart: name, and its line and dot unless there are too few."""
    return SafeString("\n".join(_bar(bar, chart.width) for bar in chart.bars))


@lru_cache(maxsize=KEPT)
def _bar(bar: Bar, width: int) -> SafeString:
    few = bar.figure.too_few
    name = f"{bar.name}: {bar.figure.shown}" if few else bar.name
    drawn = format_html('<text x="4" y="{}">{}</text>', bar.name_y, name)
    if not few:
        drawn += format_html(
            '<line x1="{}" x2="{}" y1="{y}" y2="{y}" stroke="currentColor" stroke-width="3" '
            'stroke-linecap="round" /><circle cx="{}" cy="{y}" r="6" />',
            bar.low,
            bar.high,
            bar.value,
            y=bar.line_y,
        )
    if not bar.link:
        return drawn
    return format_html(
        '<a href="{}" aria-label="{}: {}"><rect x="0" y="{}" width="{}" height="44" '
        'fill="currentColor" fill-opacity="0" />{}</a>',
        bar.link,
        bar.name,
        bar.figure.words(),
        bar.top,
        width,
        drawn,
    )
