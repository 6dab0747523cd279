"""A file's bytes become a table of text, or one sentence on why they do not.

Encodings are told apart by what cannot be mistaken: a byte order mark, the zero bytes of UTF-16,
and UTF-8, which other text is hardly ever by chance. What is left is read as Windows-1252, the
usual one of Western office programs; five bytes have no letter in it and are refused.
"""

import csv
import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

MOST_BYTES: Final = 8 * 1024 * 1024
MOST_ROWS: Final = 30_000  # below the heading
MOST_COLUMNS: Final = 120
LONGEST_CELL: Final = 4000  # characters: notes have 2000 at most, and are told so by their column
DELIMITERS: Final = {",": "commas", ";": "semicolons", "\t": "tabs"}
# How files begin that are no text whatever their name says, and what they are.
SIGNATURES: Final = (
    (b"PK\x03\x04", "a spreadsheet's own file or a packed one"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet's own file"),
    (b"%PDF", "a PDF"),
    (b"\x1f\x8b", "a packed file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"{\\rtf", "a word processor's file"),
    (b"SQLite format 3", "a database"),
)
AS_CSV: Final = "Open it in the program it comes from and save it as CSV (UTF-8)."
# UTF-8 of a Western letter with a mark: two bytes that hardly ever meet in Windows-1252.
_MARKED: Final = re.compile(rb"[\xc2-\xc5][\x80-\xbf]")
_HIDDEN: Final = re.compile("[\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\x7f\\ud800-\\udfff]")
_SAMPLE: Final = 4096  # bytes that are enough to see UTF-16 by

Score = Callable[[list[str]], int]
Cells = tuple[str, ...]


class FileError(ValueError):
    """A file that is no list; the message is a sentence for the person who chose it."""


@dataclass(frozen=True, slots=True)
class Table:
    """A list as read: its heading, and every row below as (row of the file, cells)."""

    heading: Cells
    rows: tuple[tuple[int, Cells], ...]
    encoding: str
    delimiter: str


def read_table(content: bytes, score: Score) -> Table:
    """The table in ``content``; ``score`` counts the cells of a heading that mean something to us.

    FileError: empty, too large, no text, a broken quotation mark, too many rows or columns.
    """
    if len(content) > MOST_BYTES:
        raise FileError(f"The file is larger than {MOST_BYTES // 1024**2} MB: cut it into parts.")
    text, encoding = _decode(content)
    _refuse_hidden(text)
    delimiter = _delimiter(text, score)
    heading, rows = _rows(text, delimiter)
    return Table(heading, rows, encoding, delimiter)


def _decode(content: bytes) -> tuple[str, str]:
    if not content.strip():
        raise FileError("The file is empty.")
    for signature, what in SIGNATURES:
        if content.startswith(signature):
            raise FileError(f"That is {what}, not a list. {AS_CSV}")
    if content.startswith((b"\xff\xfe\0\0", b"\0\0\xfe\xff")):
        raise FileError(f"The file is in UTF-32, which is not read here. {AS_CSV}")
    for name, shown in _encodings(content):
        try:
            return content.decode(name), shown
        except UnicodeDecodeError:
            continue
    if _has_zeros(content):
        raise FileError(f"The file is not text. {AS_CSV}")
    return _windows(content), "Windows-1252"


def _encodings(content: bytes) -> list[tuple[str, str]]:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return [("utf-16", "UTF-16")]
    if _has_zeros(content):
        # Text in Western letters has every second byte zero, on the one side or the other.
        odd, even = content[1:_SAMPLE:2].count(0), content[:_SAMPLE:2].count(0)
        half = min(len(content), _SAMPLE) // 4
        wide = [("utf-16-le", odd, even), ("utf-16-be", even, odd)]
        return [(name, "UTF-16") for name, high, low in wide if high > half > 10 * low]
    return [("utf-8-sig", "UTF-8")]


def _has_zeros(content: bytes) -> bool:
    return b"\0" in content


def _windows(content: bytes) -> str:
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        raise FileError(
            f"Row {row} has a letter in no encoding known here (UTF-8, UTF-16, Windows-1252)."
            f" {AS_CSV}"
        ) from error
    # One wrong byte in a file of UTF-8 must not turn every name with a mark in it into nonsense.
    if marked := _MARKED.search(content):
        row = content.count(b"\n", 0, marked.start()) + 1
        raise FileError(
            f"The file is partly in UTF-8 and partly in something else (row {row}). {AS_CSV}"
        )
    return text


def _refuse_hidden(text: str) -> None:
    if found := _HIDDEN.search(text):
        row = text.count("\n", 0, found.start()) + 1
        raise FileError(
            f"Row {row} has a hidden character (U+{ord(found[0]):04X}), which no list of text has."
            f" {AS_CSV}"
        )


def _delimiter(text: str, score: Score) -> str:
    """The sign between cells: by which most headings are known, and then most cells made."""
    first = text[: 256 * 1024]

    def rank(delimiter: str) -> tuple[int, int]:
        try:
            heading = next(csv.reader(io.StringIO(first, newline=""), delimiter=delimiter), [])
        except csv.Error:
            return (0, 0)
        return (score(heading[:MOST_COLUMNS]), len(heading))

    return max(DELIMITERS, key=rank)


def _rows(text: str, delimiter: str) -> tuple[Cells, tuple[tuple[int, Cells], ...]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    heading: Cells = ()
    rows: list[tuple[int, Cells]] = []
    number, at = 0, 1
    try:
        for number, cells in enumerate(reader, start=1):
            at = number + 1
            if len(cells) > MOST_COLUMNS:
                raise FileError(
                    f"Row {number} has {len(cells)} columns: a list has at most {MOST_COLUMNS}."
                )
            if number == 1:
                heading = tuple(cell.strip() for cell in cells)
            elif any(cell.strip() for cell in cells):
                rows.append((number, tuple(cell.strip() for cell in cells)))
            if len(rows) > MOST_ROWS:
                raise FileError(f"The list has more than {MOST_ROWS:,} rows: cut it into parts.")
    except csv.Error as error:
        raise FileError(
            f"Row {at} cannot be read: look at its quotation marks. A cell that holds one is put"
            ' in quotation marks whole, and the one inside is written twice: "38"" chest".'
        ) from error
    if not any(heading):
        raise FileError("The first row is empty: it must hold the headings of the columns.")
    return heading, tuple(rows)
