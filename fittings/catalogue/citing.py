"""A row's source as a reader can look it up: the book's title for the key it is cited by."""

import re
from collections.abc import Mapping
from typing import Final

# "…, 1949 (coat diagrams c, trouser diagrams t)": how the places in that book are numbered.
PLACES: Final = re.compile(r" \((page[^()]*|[^()]*diagrams[^()]*)\)$")


def in_full(source: str, titles: Mapping[str, str]) -> str:
    """``VS 246; FL`` with each key as its title; what cites no key stays as it is written."""
    return "; ".join(_part(part.strip(), titles) for part in source.split(";"))


def _part(part: str, titles: Mapping[str, str]) -> str:
    cited = part.removeprefix("limit ")
    key, place = re.fullmatch(r"(\w*)[ :]?(.*)", cited, re.DOTALL).groups()  # type: ignore[union-attr]
    if key not in titles:
        return part
    said = PLACES.sub("", titles[key])
    if place:
        said += f"{'' if place.startswith('(') else ','} {_numbered(place, titles[key])}"
    return f"limit from {said}" if cited != part else said


def _numbered(place: str, title: str) -> str:
    found = PLACES.search(title)
    if found is None or not place[:1].isdigit():
        return place
    return f"{'page image' if 'page image' in found[1] else 'page'} {place}"
