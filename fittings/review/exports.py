"""A table as a file for a spreadsheet program."""

import csv
import io
from collections.abc import Sequence
from typing import Protocol
from unicodedata import normalize

Cell = str | int | float | None

# A cell that begins so may be run as a formula: OWASP ASVS 5.0.0, 1.2.10, and the carriage return.
RUNS = ("=", "+", "-", "@", "\t", "\r", "\0")


class Exported(Protocol):
    """What can be a file: headings, and lines of text and bare numbers."""

    @property
    def number_columns(self) -> Sequence[str]: ...
    @property
    def number_lines(self) -> list[list[Cell]]: ...


def to_csv(table: Exported) -> bytes:
    """RFC 4180, UTF-8 with a byte order mark: text quoted and made harmless, numbers bare.

    Numbers are fractions of one (0.0345, not 3 %), with a decimal point.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(table.number_columns)
    writer.writerows([_harmless(cell) for cell in line] for line in table.number_lines)
    return text.getvalue().encode("utf-8-sig")


def _harmless(cell: Cell) -> Cell:
    if not isinstance(cell, str):
        return cell
    # Some programs trim spaces first, and take a full-width sign for the plain one.
    read = normalize("NFKC", cell).lstrip()
    return f"'{cell}" if cell.startswith(RUNS) or read.startswith(RUNS) else cell
