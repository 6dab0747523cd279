"""Bytes of many makers, and of none: read as they were meant, or refused in one sentence."""

import codecs
import csv
import io
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.lists.columns import known_headings
from fittings.lists.files import MOST_BYTES, MOST_COLUMNS, MOST_ROWS, FileError, read_table

NAMES = "family name,chest\nÖzge Åse,38½\n"
CELLS = (("Özge Åse", "38½"),)


def read(content):
    return read_table(content, known_headings)


def cells_of(table):
    return tuple(cells for _, cells in table.rows)


@pytest.mark.parametrize(
    ("content", "encoding"),
    [
        (NAMES.encode(), "UTF-8"),
        (codecs.BOM_UTF8 + NAMES.encode(), "UTF-8"),
        (NAMES.encode("cp1252"), "Windows-1252"),
        (NAMES.encode("utf-16"), "UTF-16"),
        (codecs.BOM_UTF16_BE + NAMES.encode("utf-16-be"), "UTF-16"),
        (NAMES.encode("utf-16-le"), "UTF-16"),
        (NAMES.encode("utf-16-be"), "UTF-16"),
    ],
)
def test_encoding_is_told_apart_by_the_bytes(content, encoding):
    table = read(content)

    assert (table.encoding, table.heading, cells_of(table)) == (
        encoding,
        ("family name", "chest"),
        CELLS,
    )


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\r\n", "\n", "\r"])
def test_delimiter_and_line_ends_of_any_maker_are_read(delimiter, ending):
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator=ending)
    writer.writerows([("family name", "notes", "chest"), ("Wren, Odile", "a;b\tc", "97,8")])

    table = read(out.getvalue().encode())

    assert (table.delimiter, cells_of(table)) == (delimiter, (("Wren, Odile", "a;b\tc", "97,8"),))


def test_rows_are_numbered_as_a_spreadsheet_does():
    table = read(b'family name,notes\nWren,"two\nlines"\n\n,\nLark,x\n')

    assert [(row, cells[0]) for row, cells in table.rows] == [(2, "Wren"), (5, "Lark")]


def zipped():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("sheet.xml", "family name")
    return out.getvalue()


# What is sent, and the words by which whoever sent it finds the fault.
HOSTILE = {
    "nothing": (b"", "empty"),
    "blank": (b" \r\n ", "empty"),
    "NUL in a name": (b"family name\nWr\0en\n", "not text"),
    "NUL in UTF-16": (
        "family name\nWr\0en\n".encode("utf-16"),
        "Row 2 has a hidden character (U+0000)",
    ),
    "binary": (bytes(range(256)) * 40, "not text"),
    "packed": (zipped(), "a spreadsheet's own file or a packed one"),
    "old sheet": (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "an old spreadsheet's own file",
    ),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(64), "a picture"),
    "UTF-32": (NAMES.encode("utf-32"), "UTF-32"),
    "half UTF-16": ("family name\n".encode("utf-16") + b"x", "not text"),
    "lone surrogate": (
        b"\xff\xfe" + "family name\n".encode("utf-16-le") + b"\x00\xd8a\x00",
        "not text",
    ),
    "partly UTF-8": ("family name\nÖzge\n".encode() + b"\xd6zge\n", "partly in UTF-8"),
    "no encoding": (b"family name\nWren\nW\x81ren\n", "Row 3 has a letter in no encoding"),
    "bell": (b"family name\nWren\x07\n", "Row 2 has a hidden character (U+0007)"),
    "open quote": (b'family name\n"Wren\nLark\n', "Row 2 cannot be read"),
    "quote inside": (b'family name,notes\n"Wren"x,y\n', "Row 2 cannot be read"),
    "one endless cell": (b"family name\n" + b"x" * 200_000, "Row 2 cannot be read"),
    "one endless line": (b"x," * 1_000_000, f"at most {MOST_COLUMNS}"),
    "too large": (b"x" * (MOST_BYTES + 1), "larger than 8 MB"),
    "too many rows": (b"family name\n" + b"x\n" * (MOST_ROWS + 1), f"more than {MOST_ROWS:,} rows"),
    "no heading": (b"\nWren\n", "The first row is empty"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_file_that_is_no_list_is_refused_in_a_sentence(what):
    content, says = HOSTILE[what]

    with pytest.raises(FileError) as refused:
        read(content)

    assert says in str(refused.value)


TEXT = st.text(st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\ufeff"))


@settings(max_examples=40)
@given(rows=st.lists(st.lists(TEXT, min_size=3, max_size=3), min_size=1, max_size=5))
def test_what_csv_wrote_is_what_is_read(rows):
    out = io.StringIO(newline="")
    csv.writer(out).writerows([("family name", "given name", "notes"), *rows])

    table = read(out.getvalue().encode())

    stripped = [tuple(cell.strip() for cell in row) for row in rows]
    assert list(cells_of(table)) == [row for row in stripped if any(row)]


@settings(max_examples=150)
@given(content=st.binary(max_size=300))
def test_any_bytes_are_a_table_or_a_sentence(content):
    said = heading = ""
    try:
        heading = "".join(read(content).heading)
    except FileError as refused:
        said = str(refused)

    assert bool(heading) != bool(said)
