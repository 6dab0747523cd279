"""The plain words for what is seen: the rows of `data/words.toml`, each with its source."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from fittings.catalogue.reading import FOLDER, CatalogueError

FILE: Final = FOLDER / "words.toml"


@dataclass(frozen=True, slots=True)
class Saying:
    """The ways one thing is said. `means`: a zone's or fault's key, or the word meant.

    `kind` and `zone` stand where a zone is named, `faults` where the words may mean any of them.
    """

    means: str
    say: tuple[str, ...]
    source: str
    kind: str = ""
    zone: str = ""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Words:
    """All rows of the file, by what they are about."""

    zones: tuple[Saying, ...]
    faults: tuple[Saying, ...]
    asks: tuple[Saying, ...]
    common: tuple[Saying, ...]
    forms: tuple[Saying, ...]
    sounds: tuple[Saying, ...]


@cache
def load_words() -> Words:
    return read_words(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read_words(data: Mapping[str, Any]) -> Words:
    """Rows from a file's tables. CatalogueError names the row that lacks a column."""
    tables = ("zone", "fault", "asks", "common", "form", "sounds")
    return Words(*(tuple(_saying(row) for row in data.get(name, ())) for name in tables))


def _saying(row: Mapping[str, Any]) -> Saying:
    try:
        return Saying(
            means=row.get("means") or row.get("key", ""),
            say=tuple(row["say"]),
            source=row.get("source", ""),
            kind=row.get("kind", ""),
            zone=row.get("zone", ""),
            faults=tuple(row.get("faults", ())),
        )
    except (KeyError, TypeError) as error:
        raise CatalogueError(f"words {dict(row)}: {error}") from error
