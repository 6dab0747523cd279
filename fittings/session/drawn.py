"""Parts of the fitting screen that are the same for everyone: drawn once, and kept.

The panels of a coat are two thirds of the page. They hold nothing of a person or of a request (no
name, no token, no id), so one drawing of each serves every session of this process.
"""

from functools import cache, lru_cache

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from fittings.housebook.queries import house_book, house_catalogue
from fittings.session import screen
from fittings.session.forms import AlterationForm


def draw_panels(kind: str, stage: str, *, chosen: str = "", opened: str = "") -> SafeString:
    """The panels of a kind at a stage; ``chosen`` and ``opened`` as a touch left them."""
    book = house_catalogue()
    zones = [(zone, screen.tiles_of(kind, zone.key, stage)) for zone in book.zones_of(kind)]
    shown = {"zones": zones, "chosen": chosen, "open": opened}
    return render_to_string("session/panels.html", shown)


def panels(kind: str, stage: str) -> SafeString:
    return _panels(house_book().state, kind, stage)


@lru_cache(maxsize=32)
def _panels(_state: str, kind: str, stage: str) -> SafeString:
    return draw_panels(kind, stage)


@cache
def alteration_fields(kind: str, unit: str) -> SafeString:
    """The fields of another alteration, empty: fifty choices that Django draws one by one."""
    form = AlterationForm(kind=kind, unit=unit)
    shown = [form[name].as_field_group() for name in AlterationForm.SHOWN]
    return SafeString("".join(shown))


@cache
def amount_keys(unit: str) -> SafeString:
    return render_to_string("session/amount_keys.html", {"amounts": screen.AMOUNTS[unit]})


@lru_cache(maxsize=256)
def drawings(kind: str, marks: screen.Marks) -> SafeString:
    """The views of a garment with what is marked on them: most sessions open with nothing."""
    return render_to_string("session/drawings.html", {"kind": kind, "marks": dict(marks)})
