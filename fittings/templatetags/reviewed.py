"""Pieces of the review's pages made a row at a time.

A template walks a row cell by cell, and a page of the review has thousands: a fifth of the time is
enough when a row is one line of text with places for its figures, and next to nothing when the same
figures were a row before: an entry changes few of them.
"""

from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from itertools import zip_longest

from django import template
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from fittings.review.charts import Bar, Chart
from fittings.review.heat import Heated
from fittings.review.pictures import Beam, Beams, Mark, Picture, Tick
from garments.models import Garment

register = template.Library()
STAND_IN = "G0-0"  # a number no garment has: its check sign is another
LONG = 24  # letters; beyond it words go over several lines
KEPT = 10_000  # rows and bars, some 500 bytes each


@register.simple_tag
def garment_lines(shown: Iterable[tuple[Garment, bool | str]], badge: str = "") -> SafeString:
    """Garments with what is said of each, or a badge on those of which something holds."""
    return SafeString(
        "\n".join(
            _garment(
                garment.number,
                garment.get_kind_display().capitalize(),
                garment.customer.name,
                badge if badge and says else "",
                "" if badge else f": {says}",
            )
            for garment, says in shown
        )
    )


@lru_cache(maxsize=KEPT)
def _garment(number: str, kind: str, customer: str, badge: str, says: str) -> SafeString:
    # The way to the folios is looked up once, not for each line.
    address = _way_to_folios().replace(STAND_IN, number)
    return format_html(
        '<li><a href="{}"><span class="name">{}</span> <span>{} for {}{}</span> {}</a></li>',
        address,
        number,
        kind,
        customer,
        says,
        _badge(badge) if badge else "",
    )


@lru_cache(maxsize=KEPT)
def _badge(text: str) -> SafeString:
    return render_to_string("components/badge.html", {"text": text, "tone": "warn"})


@cache
def _way_to_folios() -> str:
    return reverse("folios:garment_folio", args=[STAND_IN])


@register.simple_tag
def table_rows(
    lines: Iterable[tuple[Sequence[object], str]], worded: Sequence[bool] = ()
) -> SafeString:
    """The rows of a table from its lines, each with the address its first cell leads to or "".

    ``worded`` says of each column whether it holds words; where nobody says, all are numbers.
    """
    # Text alone: what is equal is kept once, and must not be another's markup.
    rows = ((tuple(f"{cell}" for cell in line), link) for line, link in lines)
    kept = tuple(worded)
    return SafeString("\n".join(_row(cells, link, kept) for cells, link in rows))


@lru_cache(maxsize=KEPT)
def _row(line: tuple[str, ...], link: str, worded: tuple[bool, ...]) -> SafeString:
    first = format_html('<a href="{}">{}</a>', link, line[0]) if link else line[0]
    cells = [
        ("number" if not words else "words long" if len(cell) > LONG else "words", cell)
        for cell, words in zip_longest(line, worded)
    ]
    others = format_html_join("", '<td class="{}">{}</td>', cells[1:])
    return format_html('<tr><th scope="row">{}</th>{}</tr>', first, others)


@register.simple_tag
def chart_bars(chart: Chart) -> SafeString:
    """The groups of an interval chart: name, and its line and dot unless there are too few."""
    return SafeString("\n".join(_bar(bar, chart.width) for bar in chart.bars))


@lru_cache(maxsize=KEPT)
def _bar(bar: Bar, width: int) -> SafeString:
    drawn = format_html('<text x="4" y="{}">{}</text>', bar.name_y, bar.written)
    if not bar.figure.too_few:
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


@register.simple_tag
def picture_axes(picture: Picture, ink: str) -> SafeString:
    """The lines across a picture with what they stand for, and the words under it."""
    return SafeString(
        "\n".join(
            [
                *(_line_across(tick, picture.left, picture.right, ink) for tick in picture.up),
                *(_word_under(tick, picture.bottom + 22) for tick in picture.across),
            ]
        )
    )


@lru_cache(maxsize=KEPT)
def _line_across(tick: Tick, left: int, right: int, ink: str) -> SafeString:
    return format_html(
        '<line x1="{}" x2="{}" y1="{y}" y2="{y}" stroke="{}" stroke-opacity="0.2" '
        'stroke-width="1" /><text x="{}" y="{}" text-anchor="end">{}</text>',
        left,
        right,
        ink,
        left - 8,
        int(tick.at) + 5,
        tick.text,
        y=tick.at,
    )


@lru_cache(maxsize=KEPT)
def _word_under(tick: Tick, y: int) -> SafeString:
    return format_html(
        '<text x="{}" y="{}" text-anchor="middle" font-size="14">{}</text>', tick.at, y, tick.text
    )


@register.simple_tag
def picture_marks(picture: Picture, ink: str, linked: bool) -> SafeString:  # noqa: FBT001
    """The marks of a picture: open circles, filled squares beyond the limits, names beside them."""
    return SafeString("\n".join(_mark(mark, ink, bool(linked)) for mark in picture.marks))


@lru_cache(maxsize=KEPT)
def _mark(mark: Mark, ink: str, linked: bool) -> SafeString:  # noqa: FBT001
    drawn = format_html(
        '<circle cx="{}" cy="{}" r="16" fill="{}" fill-opacity="0" />', mark.x, mark.y, ink
    )
    if mark.beyond:
        square = '<rect x="{}" y="{}" width="14" height="14" fill="{}" />'
        drawn += format_html(square, *mark.corner, ink)
    else:
        circle = '<circle cx="{}" cy="{}" r="6" fill="#ffffff" stroke="{}" stroke-width="2.5" />'
        drawn += format_html(circle, mark.x, mark.y, ink)
    if mark.led:
        lead = '<line x1="{}" y1="{}" x2="{}" y2="{}" stroke="{}" stroke-width="1" />'
        drawn = format_html(lead, mark.x, mark.y, mark.name_x, mark.name_y - 5, ink) + drawn
    if mark.name:
        name = '<text x="{}" y="{}" text-anchor="{}">{}</text>'
        drawn += format_html(name, mark.name_x, mark.name_y, mark.anchor, mark.name)
    return _linked(drawn, mark.link if linked else "", mark.says)


@register.simple_tag
def picture_beams(bars: Beams, ink: str, linked: bool) -> SafeString:  # noqa: FBT001
    """The bars of a Pareto drawing with their words."""
    return SafeString("\n".join(_beam(beam, bars.width, ink, bool(linked)) for beam in bars.beams))


@lru_cache(maxsize=KEPT)
def _beam(beam: Beam, width: int, ink: str, linked: bool) -> SafeString:  # noqa: FBT001
    drawn = format_html(
        '<g transform="translate(0 {})"><rect x="0" y="0" width="{}" height="44" fill="{ink}" '
        'fill-opacity="0" /><text x="2" y="15">{}</text><rect x="2" y="21" width="{}" height="15" '
        'fill="{ink}" fill-opacity="0.55" stroke="{ink}" /><text x="{}" y="34">{}</text></g>',
        beam.y,
        width,
        beam.name,
        beam.length,
        beam.end,
        beam.share,
        ink=ink,
    )
    return _linked(drawn, beam.link if linked else "", f"{beam.name}: {beam.counted}")


@register.simple_tag
def heat_spots(heated: Heated) -> SafeString:
    """The shaded zones of a drawn garment, and over them the numbers of those it numbers."""
    shades = [_shade(spot.zone.hit_path, spot.shade) for spot in heated.spots]
    numbers = [
        _number(spot.zone.name, spot.times, spot.zone.at.x, spot.zone.at.y, spot.base, spot.link)
        for spot in heated.spots
        if spot.numbered
    ]
    return SafeString("\n".join([*shades, *numbers]))


@lru_cache(maxsize=KEPT)
def _shade(path: str, shade: float) -> SafeString:
    drawn = '<path d="{}" fill="#000000" fill-opacity="{}" stroke="none" />'
    return format_html(drawn, path, shade)


@lru_cache(maxsize=KEPT)
def _number(  # noqa: PLR0917 - each is a thing the drawing hangs on
    zone: str, times: int, x: float, y: float, base: float, link: str
) -> SafeString:
    drawn = format_html(
        '<circle cx="{x}" cy="{y}" r="22" fill="#ffffff" fill-opacity="0" />'
        '<circle cx="{x}" cy="{y}" r="15" fill="#ffffff" stroke="#000000" stroke-width="2" />'
        '<text x="{x}" y="{}" text-anchor="middle" font-size="15" font-weight="600" '
        'fill="#000000">{}</text>',
        base,
        times,
        x=x,
        y=y,
    )
    return _linked(drawn, link, f"{zone}: {times}")


def _linked(drawn: SafeString, link: str, says: str) -> SafeString:
    if not link:
        return drawn
    return format_html('<a href="{}" aria-label="{}">{}</a>', link, says, drawn)
