"""Lists of customers, measures and open orders as other programs write them (CSV): read, not kept.

Bytes become a table (`files`), headings become columns of ours (`columns`), a row becomes a plan
of what it would bring or findings of what is wrong with it (`rows`), and plans are set against the
people already known (`people`). Pure: no Django, no clock, no I/O.

A list follows RFC 4180 (rows, commas, quotation marks), with semicolons or tabs allowed in the
comma's place. A cell that looks like a formula is text like any other.
"""

from fittings.lists.columns import MEANINGS, Column, Meaning, best_columns, measure_meaning
from fittings.lists.days import DAY_FIRST, MONTH_FIRST, orders_that_fit, read_day
from fittings.lists.files import FileError, Table, read_table
from fittings.lists.people import Index, Known, Proposal, Standing, place
from fittings.lists.rows import Facts, Finding, Order, Person, Plan, TakenSet, read_row
from fittings.lists.template import template_text

__all__ = [
    "DAY_FIRST",
    "MEANINGS",
    "MONTH_FIRST",
    "Column",
    "Facts",
    "FileError",
    "Finding",
    "Index",
    "Known",
    "Meaning",
    "Order",
    "Person",
    "Plan",
    "Proposal",
    "Standing",
    "Table",
    "TakenSet",
    "best_columns",
    "measure_meaning",
    "orders_that_fit",
    "place",
    "read_day",
    "read_row",
    "read_table",
    "template_text",
]
