"""The sheet: every quarter of every column stands in exactly one cell."""

import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.diary.grid import Block, Column, block_of, lay, quarter_of

LONDON = ZoneInfo("Europe/London")
NINE, TEN, ELEVEN = 36, 40, 44


def cells_of(rows, key="a"):
    return [
        (cell.kind, cell.clock, cell.span, cell.blocks)
        for row in rows
        for cell in row.cells
        if cell.column == key
    ]


def test_free_time_is_cut_at_the_half_hours():
    rows = lay([Column("a", [Block(TEN + 1, TEN + 3, "coat")])], TEN, ELEVEN + 2)

    assert cells_of(rows) == [
        ("free", "10:00", 1, ()),
        ("taken", "10:15", 2, ("coat",)),
        ("free", "10:45", 1, ()),
        ("free", "11:00", 2, ()),
    ]


def test_shut_time_is_one_cell():
    rows = lay([Column("a", shut=frozenset(range(NINE, TEN + 1)))], NINE, TEN + 4)

    assert cells_of(rows) == [
        ("shut", "09:00", 5, ()),
        ("free", "10:15", 1, ()),
        ("free", "10:30", 2, ()),
    ]


def test_sheet_widens_for_what_lies_outside_hours():
    rows = lay([Column("a", [Block(NINE - 2, NINE + 1, "early")]), Column("b")], NINE, TEN)

    assert [row.clock for row in rows][:2] == ["08:30", "08:45"]
    assert sum(cell[2] for cell in cells_of(rows, "b")) == len(rows) == 6


def test_blocks_that_meet_share_a_cell():
    blocks = [Block(TEN, TEN + 2, "missed"), Block(TEN + 1, TEN + 4, "instead")]

    rows = lay([Column("a", blocks)], TEN, ELEVEN)

    assert cells_of(rows) == [("taken", "10:00", 4, ("missed", "instead"))]


def test_hours_are_headings_of_their_rows():
    rows = lay([Column("a")], TEN + 2, ELEVEN + 5)

    headings = [(row.clock, row.hour_span) for row in rows if row.hour_span]
    assert headings == [("10:30", 2), ("11:00", 4), ("12:00", 1)]


@pytest.mark.parametrize(
    ("starts", "minutes", "expected"),
    [
        ("2030-02-04T10:00+00:00", 30, (TEN, TEN + 2)),
        ("2030-07-01T09:00+00:00", 15, (TEN, TEN + 1)),
        ("2030-02-04T10:07+00:00", 30, (TEN, TEN + 3)),
        ("2030-02-04T10:10+00:00", 5, (TEN, TEN + 1)),
        ("2030-02-04T23:30+00:00", 90, (94, 96)),
    ],
)
def test_booking_takes_whole_quarters_of_its_day(starts, minutes, expected):
    begins = datetime.datetime.fromisoformat(starts)

    block = block_of(begins, begins + datetime.timedelta(minutes=minutes), LONDON, "x")

    assert (block.first, block.end) == expected


@pytest.mark.parametrize(
    ("time", "down", "up"), [("09:00", 36, 36), ("09:10", 36, 37), ("17:59", 71, 72)]
)
def test_opening_hours_are_drawn_whole(time, down, up):
    at = datetime.time.fromisoformat(time)

    assert (quarter_of(at), quarter_of(at, up=True)) == (down, up)


blocks = st.builds(
    lambda first, span: Block(first, min(96, first + span), first),
    st.integers(0, 95),
    st.integers(1, 12),
)


@given(
    st.lists(st.tuples(st.lists(blocks, max_size=6), st.frozensets(st.integers(0, 95)))),
    st.integers(20, 40),
    st.integers(41, 80),
)
def test_every_quarter_stands_in_one_cell(drawn, first, end):
    columns = [Column(key, taken, shut) for key, (taken, shut) in enumerate(drawn)]

    rows = lay(columns, first, end)

    shown = [row.first for row in rows]
    for column in columns:
        cells = [cell for row in rows for cell in row.cells if cell.column == column.key]
        covered = [cell.first + n for cell in cells for n in range(cell.span)]
        assert covered == shown
        assert sorted(what for cell in cells for what in cell.blocks) == sorted(
            block.what for block in column.blocks
        )
