"""Budget: 5,000 customers with 20,000 measures brought in within a minute, from file to ledger.

Two lists: four measures for each of 5,000 customers; and the harder reading of the same sentence,
20,000 sets of five measures in 20,000 rows. On a file as a house has it, not in memory.
"""

import time
import uuid

import pytest

from customers.models import Customer, Measurement, MeasurementSet
from fittings.bringing import services
from fittings.bringing.undoing import take_back_import
from fittings.bringing.writing import write_list
from fittings.lists import Column
from tests.bringing.lists import text_of
from tests.factories import UserFactory

MINUTE = 60  # seconds
HEADING = ("your reference", "given name", "family name", "telephone", "measured on")
POINTS = ("chest", "waist", "seat", "neck", "height")


def a_list(customers, sets, points):
    rows = [(*HEADING, *points)]
    for number in range(customers):
        who = (f"R{number}", "Tobiah", f"Marrowby {number}", f"01632 {number:06d}")
        for year in range(sets):
            figures = [f"{38 + at + number % 3} {number % 7 + 1}/8" for at in range(len(points))]
            rows.append((*who, f"{2020 + year}-03-31", *figures))
    return text_of(rows).encode()


@pytest.mark.parametrize(
    ("customers", "sets", "points"), [(5000, 1, POINTS[:4]), (5000, 4, POINTS)]
)
def test_five_thousand_customers_come_in_within_a_minute(sqlite_database, customers, sets, points):
    owner = UserFactory(role="owner")
    begun = time.perf_counter()
    upload = services.keep_upload(
        entry_id=uuid.uuid4(), name="book.csv", content=a_list(customers, sets, points), by=owner
    )
    columns = [Column(**column) for column in upload.columns]
    services.map_columns(upload=upload, columns=columns, answers={"unit": "in"})
    requests, slowest = 0, 0.0
    while upload.checked < upload.rows:
        asked = time.perf_counter()
        upload = services.check_next_rows(upload=upload)
        requests, slowest = requests + 1, max(slowest, time.perf_counter() - asked)
    checked = time.perf_counter()
    entry = write_list(upload=upload, seen=upload.version, by=owner)
    written = time.perf_counter()
    counts = (Customer.objects.count(), MeasurementSet.objects.count(), Measurement.objects.count())
    take_back_import(entry_id=uuid.uuid4(), entry=entry, by=owner)
    taken_back = time.perf_counter()

    print(  # noqa: T201 - a bench says what it measured
        f"\n{counts}: checked in {checked - begun:.1f} s ({requests} requests, the slowest"
        f" {slowest:.2f} s), written in {written - checked:.1f} s,"
        f" taken back in {taken_back - written:.1f} s"
    )
    assert counts == (customers, customers * sets, customers * sets * len(points))
    assert written - begun < MINUTE
    assert Customer.objects.count() == 0
