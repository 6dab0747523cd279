"""A table as a file for a spreadsheet program."""

import csv
import io

from fittings.review.figures import Cell, Table

# A cell that begins so may be run as a formula: OWASP ASVS 5.0.0, 1.2.10, and the carriage return.
RUNS = ("=", "+", "-", "@", "\t", "\r", "\0")


def to_csv(table: Table) -> bytes:
    """RFC 4180, UTF-8 with a byte order mark: text quoted and made harmless, numbers bare.

    Numbers are fractions of one (0.0345, not 3 %), with a decimal point.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(table.number_columns)
    writer.writerows([_harmless(cell) for cell in line] for line in table.number_lines)
    return text.getvalue().encode("utf-8-sig")


def _harmless(cell: Cell) -> Cell:
    if isinstance(cell, str) and cell.startswith(RUNS):
        return f"'{cell}"
    return cell
