"""Public holidays of a country or a part of it, as the days the calendar takes.

Outside the pure part: the days come from the `holidays` package and change with its releases.
"""

import datetime
from collections.abc import Iterable

import holidays

from fittings.promise.errors import PromiseError

# The package works out movable feasts for these; a year outside is a slip of the finger.
FIRST_YEAR, LAST_YEAR = 1900, 2100


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
