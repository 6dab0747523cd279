"""Lists to bring in, written by Python's own csv module, never by ours."""

import csv
import io

from django.apps import apps
from django.db import connection

PEOPLE = ("reference", "given name", "family name", "telephone")
ORDER = ("garment", "cut", "cloth", "cloth pattern", "cutter", "ordered on", "promised on", "stage")
HEADING = (*PEOPLE, "e-mail", "measured on", "measures in", "chest", "waist", "wrist L", *ORDER)
OF_LISTS = {"fittings_upload", "fittings_uploadrow"}


def text_of(rows, **options):
    out = io.StringIO(newline="")
    csv.writer(out, **options).writerows(rows)
    return out.getvalue()


def good_row(number):
    """One customer with three measures and an order, unlike any other."""
    return {
        "reference": f"R-{number}",
        "given name": "Tobiah",
        "family name": f"Larkspur{number}",
        "telephone": f"01632 {number:06d}",
        "e-mail": f"m{number}@example.org",
        "measured on": "2024-03-31",
        "measures in": "in",
        "chest": "38 1/2",
        "waist": "33",
        "wrist L": "6 3/4",
        "garment": "coat",
        "cut": "Soft",
        "cloth": "Grey worsted",
        "cloth pattern": "plain",
        "cutter": "Ann Weir",
        "ordered on": "2024-04-02",
        "promised on": "2024-08-01",
        "stage": "ordered",
    }


def rows_of(*rows):
    """Rows by heading, as a list with its heading."""
    return [HEADING, *([row.get(name, "") for name in HEADING] for row in rows)]


def simple(*people):
    """A list of (given name, family name, telephone, chest)."""
    heading = ("given name", "family name", "telephone", "measured on", "chest")
    return [heading, *((*who, "2024-03-31", chest) for *who, chest in people)]


def ledger_rows():
    """How much the record holds, the lists being looked at apart."""
    tables = [
        model._meta.db_table
        for model in apps.get_models()
        if model._meta.app_label in {"customers", "garments", "fittings"}
    ]
    with connection.cursor() as cursor:
        counts = {}
        for table in set(tables) - OF_LISTS:
            cursor.execute(f'SELECT count(*) FROM "{table}"')
            counts[table] = cursor.fetchone()[0]
    return counts
