"""Read the catalogue's data files. A row that does not fit its columns is refused with its key."""

import tomllib
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, TypeVar

from customers.lengths import parse
from fittings.catalogue.rows import Cause, Fault, Link, Remedy, SpotTest, Zone

# Columns named in the files as people say it, where Python has the word already.
_COLUMNS: Final = {"min": "least", "max": "most"}
FILED: Final = {named: column for column, named in _COLUMNS.items()}
FOLDER: Final = Path(__file__).parent / "data"
KINDS: Final = ("coat", "waistcoat", "trousers")

Row = TypeVar("Row", Zone, Fault, Cause, Link, Remedy, SpotTest)


class CatalogueError(ValueError):
    """A data file that cannot be read as rows; the message names the row and what is wrong."""


def read_sources() -> dict[str, str]:
    return dict(_file("sources")["source"])


def read_zones() -> tuple[Zone, ...]:
    return tuple(
        build(Zone, row, kind=kind) for kind, rows in _file("zones").items() for row in rows
    )


def read_faults() -> tuple[Fault, ...]:
    return tuple(fault for kind in KINDS for fault in _faults(_file(f"{kind}_faults")))


def _faults(data: dict[str, Any]) -> Iterator[Fault]:
    kind = data.pop("kind")
    for zone, rows in data.items():
        for row in rows:
            yield build(Fault, row, kind=kind, zone=zone)


def read_causes() -> tuple[Cause, ...]:
    return tuple(build(Cause, row) for row in _file("causes")["cause"])


def read_links() -> tuple[Link, ...]:
    return tuple(
        build(Link, row, fault=fault)
        for kind in KINDS
        for fault, table in _file(f"links_{kind}").items()
        for row in table["causes"]
    )


def read_remedies() -> tuple[Remedy, ...]:
    return tuple(
        build(Remedy, row, cause=cause, kind=kind)
        for kind in KINDS
        for cause, table in _file(f"remedies_{kind}").items()
        for row in table["do"]
    )


def read_tests() -> tuple[SpotTest, ...]:
    return tuple(build(SpotTest, row) for row in _file("tests")["test"])


def build(shape: type[Row], row: Mapping[str, Any], **above: str) -> Row:
    """One row from its columns and the headings `above` it.

    A missing source reads as none, for the checker to name; any other missing or unknown column,
    or an amount that is no amount, is a CatalogueError.
    """
    columns: dict[str, Any] = {"source": "", **row, **above}
    try:
        return shape(**{_COLUMNS.get(name, name): _value(name, columns[name]) for name in columns})
    except (TypeError, ValueError) as error:
        named = row.get("key") or " ".join([*above.values(), *map(str, row.values())])
        raise CatalogueError(f"{shape.__name__} “{named}”: {error}") from error


def _value(name: str, value: Any) -> Any:
    if isinstance(value, list):
        return tuple(value)
    if name == "factor":
        return Fraction(value)
    return parse(value) if name in _COLUMNS else value


def _file(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
