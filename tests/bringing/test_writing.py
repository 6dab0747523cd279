"""A list is written whole: every figure as it stood in the file, by the ledger's own rules."""

import csv
import datetime
import io
import uuid
from decimal import Decimal
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from customers.models import Customer, Measurement, MeasurementSet
from customers.numbers import tidy
from customers.points import POINTS
from customers.services import register_customer
from fittings.bringing import progress, services
from fittings.bringing.standing import fates_of
from fittings.bringing.writing import write_list
from fittings.lists import template_text
from fittings.models import Import, Upload, UploadRow
from garments.models import Garment, InlayMovement, StageEntry
from garments.seams import normal_inlays
from garments.services import order_garment
from tests.bringing.lists import good_row, ledger_rows, rows_of, simple
from tests.factories import CustomerFactory, MeasurementSetFactory

pytestmark = pytest.mark.django_db
NM = {"in": 25_400_000, "cm": 10_000_000, "mm": 1_000_000}


def filled_template(count):
    """The template with its example replaced; every measure another figure, by `csv` alone."""
    heading, _ = csv.reader(io.StringIO(template_text(cut="Soft", cutter="Ann Weir")))
    points = {name for name in heading if name.split(",")[0] in {point.name for point in POINTS}}
    rows = []
    for number in range(count):
        unit = ("in", "cm", "mm")[number % 3]
        row = dict.fromkeys(heading, "") | {
            "your reference": f"B-{number}",
            "given name": "Özge",
            "family name": f"O'Byrne, the {number}th",
            "telephone": f"+44 1632 {number:06d}",
            "notes": '=1+2 "quoted"',
            "measured on": f"2023-02-{number % 28 + 1:02d}",
            "measures in": unit,
        }
        for at, name in enumerate(sorted(points)):
            row[name] = _figure(unit, number * 100 + at)
        rows.append(row)
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, heading)
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue(), rows, sorted(points)


def _figure(unit, seed):
    if unit == "in":
        return f"{20 + seed % 40} {seed % 63 + 1}/64"
    return f"{50 + seed % 90}.{seed % 10}" if unit == "cm" else f"{500 + seed % 900}.{seed % 10}"


def exact_nm(text, unit):
    """The figure by `fractions` and `decimal`, as the file says it."""
    if unit == "in":
        whole, part = text.split()
        return (int(whole) + Fraction(part)) * NM[unit]
    return Decimal(text) * NM[unit]


def test_filled_template_comes_back_to_the_last_digit(bring):
    text, rows, points = filled_template(9)

    bring(text.encode("utf-8-sig"))

    kept = {
        (row.in_set.customer.phone, row.point, row.side): row.value.nm
        for row in Measurement.objects.select_related("in_set__customer")
    }
    sides = {"": "", ", left": "L", ", right": "R"}
    names = {
        point.name + words: (point.key, side) for point in POINTS for words, side in sides.items()
    }
    wanted = {
        (row["telephone"], *names[name]): exact_nm(row[name], row["measures in"])
        for row in rows
        for name in points
    }
    assert kept == wanted
    assert [customer.family_name for customer in Customer.objects.order_by("serial")] == [
        row["family name"] for row in rows
    ]


def test_formula_is_kept_as_the_text_it_is(bring):
    text, _, _ = filled_template(1)

    bring(text.encode())

    assert Customer.objects.get().notes == '=1+2 "quoted"\nReference in the list: B-0'


def test_row_writes_what_the_services_write(bring, owner):
    bring(rows_of(good_row(1)))
    listed, garment = Customer.objects.get(), Garment.objects.get()
    values = {name: getattr(listed, name) for name in ("given_name", "family_name", "phone")}
    single = register_customer(form_id=uuid.uuid4(), values=values, by=owner)
    ordered = order_garment(
        form_id=uuid.uuid4(),
        customer=single,
        kind="coat",
        cut_version=garment.cut_version,
        cloth="Grey worsted",
        cloth_pattern="plain",
        cutter=owner,
        promised_on=None,
        notes="",
        by=owner,
    )

    assert (listed.search_name, listed.search_phone) == (single.search_name, single.search_phone)
    assert [tidy(row.number) for row in (listed, garment)] == [listed.number, garment.number]
    assert entries_of(garment) == entries_of(ordered)


def entries_of(garment):
    stages = list(garment.stage_entries.values_list("stage", "reason", "by", "void"))
    inlays = {
        (row.seam, row.side, row.amount.nm, row.reason) for row in garment.inlay_movements.all()
    }
    return garment.stage, stages, inlays


def test_order_further_on_is_at_its_stage(bring):
    bring(rows_of(good_row(1) | {"stage": "Basted for fitting"}))

    garment = Garment.objects.get()
    stages = [entry.stage for entry in garment.stage_entries.order_by("at")]
    assert (garment.stage, stages) == ("basted", ["ordered", "basted"])
    assert garment.ordered_on == datetime.date(2024, 4, 2)
    assert InlayMovement.objects.count() == len(normal_inlays("coat"))


def test_rows_of_one_reference_are_one_customer(bring):
    later = good_row(1) | {"measured on": "2025-01-01", "garment": "trousers", "telephone": ""}

    entry = bring(rows_of(good_row(1), later))

    customer = Customer.objects.get()
    assert [str(row.taken_on) for row in customer.measurement_sets.order_by("taken_on")] == [
        "2024-03-31",
        "2025-01-01",
    ]
    assert (customer.garments.count(), entry.counts["new"], entry.counts["sets"]) == (2, 1, 2)


def test_our_number_adds_to_that_customer(bring):
    known = CustomerFactory(given_name="Odile", family_name="Wren")

    bring([["our number", "measured on", "chest (cm)"], [known.number, "2024-03-31", "97,8"]])

    assert Customer.objects.count() == 1
    assert known.measurement_sets.get().lengths()["chest", ""].nm == 978_000_000


def test_customer_alike_is_proposed_with_the_reasons(read):
    known = CustomerFactory(given_name="Odile", family_name="Wren", phone="01632 960 555")

    upload = read(simple(("Odile", "Wren", "+44 1632 960555", "38"), ("Odo", "Lark", "1", "40")))

    first, second = upload.rows_read.all()
    (proposal,) = first.proposals
    assert (first.outcome, second.outcome) == ("asks", "new")
    assert (proposal["known"]["pk"], proposal["reasons"]) == (
        known.pk,
        ["same name", "same telephone"],
    )


@pytest.mark.parametrize(
    ("choice", "customers", "sets"), [("same:0", 1, 1), ("new", 2, 0), ("out", 1, 0)]
)
def test_choice_decides_who_the_customer_is(read, owner, choice, customers, sets):
    known = CustomerFactory(given_name="Odile", family_name="Wren", phone="01632 960 555")
    upload = read(simple(("Odile", "Wren", "", "38"), ("Odo", "Lark", "", "40")))

    services.choose_rows(upload=upload, choices={2: choice})
    upload.refresh_from_db()
    write_list(upload=upload, seen=upload.version, by=owner)

    assert Customer.objects.count() == customers + 1
    assert known.measurement_sets.count() == sets


def test_leaving_a_customer_out_leaves_out_later_rows(read):
    later = good_row(1) | {"measured on": "2025-01-01"}
    upload = read(rows_of(good_row(1), later, good_row(2)))

    services.choose_rows(upload=upload, choices={2: "out"})

    fates = fates_of(upload)
    assert [fate.out for fate in fates.by_row.values()] == [True, True, False]
    assert (fates.counts["out"], fates.counts["sets"]) == (2, 1)


def test_upload_is_gone_once_written_and_written_once(read, owner):
    upload = read(rows_of(good_row(1)))

    first = write_list(upload=upload, seen=upload.version, by=owner)
    again = write_list(upload=upload, seen=upload.version, by=owner)

    assert (first, Import.objects.count(), Customer.objects.count()) == (again, 1, 1)
    assert (Upload.objects.count(), UploadRow.objects.count()) == (0, 0)
    assert progress.told(upload.pk) is None


def test_list_changed_since_it_was_looked_at_is_refused(read, owner):
    upload = read(rows_of(good_row(1), good_row(2)))
    services.choose_rows(upload=upload, choices={2: "out"})

    with pytest.raises(ValidationError, match="changed since you looked"):
        write_list(upload=upload, seen=upload.version, by=owner)


def test_customer_registered_meanwhile_stops_the_writing(read, owner):
    upload = read(rows_of(good_row(1)))
    CustomerFactory(given_name="Tobiah", family_name="Larkspur1")
    before = ledger_rows()

    with pytest.raises(ValidationError, match="since the list was checked"):
        write_list(upload=upload, seen=upload.version, by=owner)

    assert ledger_rows() == before


def test_failure_half_way_writes_nothing(read, owner):
    upload = read(rows_of(good_row(1), good_row(2)))
    # The last set's own id is taken, so that the writing fails after the customers.
    MeasurementSetFactory(pk=uuid.uuid5(upload.pk, "set:3"))
    before = ledger_rows()

    with pytest.raises(IntegrityError), transaction.atomic():
        write_list(upload=upload, seen=upload.version, by=owner)

    assert ledger_rows() == before
    assert Upload.objects.get().checked == 2


def test_same_file_is_not_brought_in_twice(bring, read):
    bring(rows_of(good_row(1)))

    with pytest.raises(ValidationError, match="This very file was brought in"):
        read(rows_of(good_row(1)))


def test_writing_tells_how_far_it_is(read, owner):
    upload, told = read(rows_of(*map(good_row, range(40)))), []

    def tell(_, done, of):
        told.append(done / of)

    write_list(upload=upload, seen=upload.version, by=owner, tell=tell)

    assert (told, told[-1]) == (sorted(told), 1)
    assert (MeasurementSet.objects.count(), StageEntry.objects.count()) == (40, 40)


def test_progress_is_read_by_whoever_asks():
    upload = uuid.uuid4()

    progress.tell(upload, 150, 400)
    heard = progress.told(upload)
    progress.forget(upload)

    assert (heard, progress.told(upload)) == ((150, 400), None)
