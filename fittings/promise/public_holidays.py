"""Public holidays of a country or a part of it, as the days the calendar takes.

Outside the pure part: the days come from the `holidays` package and change with its releases.
"""

import datetime
import re
from collections.abc import Iterable, Mapping
from functools import cache

import holidays
from holidays.registry import COUNTRIES

from fittings.promise.errors import PromiseError

# The package works out movable feasts for these; a year outside is a slip of the finger.
FIRST_YEAR, LAST_YEAR = 1900, 2100
ENGLISH = ("en_GB", "en_US")  # the house's pages are in English, in this order of liking


def public_holidays(
    country: str, subdivision: str = "", *, years: Iterable[int]
) -> frozenset[datetime.date]:
    """The days off of ``years`` by ISO 3166 country code and the package's subdivision code.

    PromiseError when the country or the subdivision is not known, or a year is out of reach.
    """
    wanted = sorted(set(years))
    if wrong := [year for year in wanted if not FIRST_YEAR <= year <= LAST_YEAR]:
        raise PromiseError(f"Public holidays are known from 1900 to 2100, not for {wrong[0]}.")
    known = holidays.list_supported_countries()
    if country not in known:
        raise PromiseError(f"No public holidays are known for the country “{country}”.")
    if subdivision and subdivision not in known[country]:
        raise PromiseError(f"{country} has no part “{subdivision}” with holidays of its own.")
    found = holidays.country_holidays(country, subdiv=subdivision or None, years=wanted)
    return frozenset(found)


def holiday_names(country: str, subdivision: str, year: int) -> Mapping[datetime.date, str]:
    """What each public holiday of ``year`` is called, in English where the package knows it.

    Empty without a country and outside its years: unlike a promise, a page of the diary may show
    any year. PromiseError as above.
    """
    if not country or not FIRST_YEAR <= year <= LAST_YEAR:
        return {}
    return _names(country, subdivision, year)


@cache
def _names(country: str, subdivision: str, year: int) -> Mapping[datetime.date, str]:
    days = public_holidays(country, subdivision, years=[year])
    of = holidays.country_holidays(country, subdiv=subdivision or None, years=year)
    spoken = next((lang for lang in ENGLISH if lang in of.supported_languages), None)
    named = holidays.country_holidays(
        country, subdiv=subdivision or None, years=year, language=spoken
    )
    return {day: named[day] for day in sorted(days)}


@cache
def countries() -> Mapping[str, str]:
    """Names of the countries with known holidays by their ISO 3166 code, in order of the name."""
    found = {codes[1]: _spaced(codes[0]) for codes in COUNTRIES.values()}
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


@cache
def parts_of(country: str) -> Mapping[str, str]:
    """Names of a country's parts that have holidays of their own, by the package's code."""
    if country not in countries():
        return {}
    of = holidays.country_holidays(country)
    names = {code: name for name, code in of.subdivisions_aliases.items()}
    found = {code: names.get(code, code) for code in of.subdivisions}
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


def _spaced(name: str) -> str:
    """``UnitedKingdom`` as it is spoken."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name)
