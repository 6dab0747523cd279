"""The pages a list goes through, from the file to the ledger and back."""

import csv
import io
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from customers.models import Customer
from fittings.bringing import progress, services
from fittings.bringing.services import KEPT_FOR
from fittings.bringing.writing import write_list
from fittings.models import Import, Upload
from tests.bringing.lists import good_row, ledger_rows, rows_of, simple, text_of
from tests.factories import CustomerFactory

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


def page(name, *args):
    return reverse(f"bringing:{name}", args=args)


@pytest.fixture
def choose_file(client, owner):
    def chosen(content, name="book.csv", entry_id=None):
        data = content if isinstance(content, bytes) else text_of(content).encode()
        values = {
            "entry_id": entry_id or uuid.uuid4(),
            "file": SimpleUploadedFile(name, data, "text/csv"),
        }
        return client.post(page("import_list"), values)

    return chosen


def test_list_goes_from_file_to_ledger_without_script(client, choose_file):
    chosen = choose_file(simple(("Odile", "Wren", "01632 960 555", "38 1/2")))
    upload = Upload.objects.get()
    columns = {f"means-{at}": column["means"] for at, column in enumerate(upload.columns)}
    mapped = client.post(chosen.url, columns | {"unit": "in"})
    checked = client.post(page("upload_check", upload.pk))
    preview = client.get(checked.url)
    written = client.post(
        page("upload_write", upload.pk), {"seen": preview.context["write"].initial["seen"]}
    )

    assert (chosen.url, mapped.url) == (
        page("upload_columns", upload.pk),
        upload.get_absolute_url(),
    )
    assert [str(line.becomes) for line, _ in preview.context["lines"]] == ["new customer"]
    assert written.url == Import.objects.get().get_absolute_url()
    assert Customer.objects.get().measurement_sets.get().lengths()["chest", ""].text("in") == (
        "38 1/2 in"
    )


def test_template_has_our_columns_and_can_be_brought_in(client, owner, read, findings):
    text = client.get(page("template_csv")).content.decode("utf-8-sig")
    heading, example = csv.reader(io.StringIO(text))

    upload = read(text.encode())

    assert (heading[0], len(heading), len(example)) == ("your reference", 61, 61)
    assert [column["means"] for column in upload.columns if not column["means"]] == []
    assert (findings(upload), upload.rows_read.get().plan["order"]["kind"]) == ([], "coat")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "The file is empty"),
        (b"family name\n", "no row below the headings"),
        (b"PK\x03\x04 spreadsheet", "a spreadsheet's own file"),
        (b"x" * (8 * 1024 * 1024 + 1), "larger than 8 MB"),
    ],
)
def test_file_that_is_no_list_is_refused_beside_its_field(choose_file, content, says):
    before = ledger_rows()

    answer = choose_file(content)

    (said,) = answer.context["form"].errors["file"]
    assert (answer.status_code, Upload.objects.count(), ledger_rows()) == (422, 0, before)
    assert says in said


def test_htmx_checking_answers_with_the_bar_until_done(client, choose_file):
    choose_file(rows_of(*map(good_row, range(services.AT_ONCE + 1))))
    upload = Upload.objects.get()
    services.map_columns(
        upload=upload,
        columns=services.best_columns(services.table_of(upload).heading),
        answers={"unit": "in"},
    )

    first = client.post(page("upload_check", upload.pk), headers=HTMX)
    last = client.post(page("upload_check", upload.pk), headers=HTMX)

    assert b"500 of 501 rows checked" in first.content
    assert (b"<html" in first.content, last["HX-Redirect"]) == (False, upload.get_absolute_url())


def test_htmx_writing_shows_the_bar_and_then_the_import(client, read):
    upload = read(rows_of(good_row(1)))
    address, seen = page("upload_write", upload.pk), {"seen": upload.version}

    bar = client.post(address, seen, headers=HTMX)
    assert (Import.objects.count(), b'hx-trigger="every 500ms"' in bar.content) == (0, True)
    written = client.post(address, seen | {"go": "1"}, headers=HTMX)

    assert written["HX-Redirect"] == Import.objects.get().get_absolute_url()


def test_refused_writing_says_why_and_keeps_everything(client, read):
    upload = read(rows_of(good_row(1), good_row(2) | {"chest": "x"}))

    answer = client.post(
        page("upload_write", upload.pk), {"seen": upload.version, "go": "1"}, headers=HTMX
    )

    assert (answer.status_code, Upload.objects.count(), Customer.objects.count()) == (422, 1, 0)
    assert b"1 rows still wait" in answer.content


def test_choices_of_a_page_are_kept_and_shown_again(client, read):
    CustomerFactory(given_name="Odile", family_name="Wren")
    upload = read(simple(("Odile", "Wren", "", "38"), ("Odo", "Lark", "", "40")))
    address = page("upload_choose", upload.pk)

    answer = client.post(f"{address}?show=asks&page=1", {"row-2": "new", "row-3": "out"})

    assert answer.url == f"{upload.get_absolute_url()}?show=asks&page=1"
    assert [row.choice for row in upload.rows_read.all()] == ["new", "out"]


@pytest.mark.parametrize(
    ("what", "choices"),
    [("same", ["same:0", ""]), ("new", ["new", ""]), ("wrong-out", ["", "out"])],
)
def test_one_choice_for_all_that_wait(client, read, what, choices):
    CustomerFactory(given_name="Odile", family_name="Wren")
    upload = read(simple(("Odile", "Wren", "", "38"), ("Odo", "Lark", "", "x")))

    client.post(page("upload_choose", upload.pk), {"all": what})

    assert [row.choice for row in upload.rows_read.all()] == choices


@pytest.mark.parametrize("sent", [{"row-2": "same:3"}, {"row-3": "new"}, {"all": "everything"}])
def test_choice_a_row_does_not_have_is_refused(client, read, sent):
    CustomerFactory(given_name="Odile", family_name="Wren")
    upload = read(simple(("Odile", "Wren", "", "38"), ("Odo", "Lark", "", "40")))

    answer = client.post(page("upload_choose", upload.pk), sent)

    assert answer.status_code == 422
    assert [row.choice for row in upload.rows_read.all()] == ["", ""]


@pytest.mark.parametrize(
    ("cells", "initial", "choices"),
    [
        (["13/4/2024"], "day", 2),
        (["4/13/2024"], "month", 2),
        (["3/4/2024"], None, 2),
        (["2024-04-03"], None, 0),
    ],
)
def test_order_of_day_and_month_is_asked_when_needed(client, choose_file, cells, initial, choices):
    chosen = choose_file([("family name", "measured on"), ("Wren", *cells)])

    form = client.get(chosen.url).context["form"]

    asked = form.fields.get("day_order")
    assert (form.initial.get("day_order"), len(asked.choices) if asked else 0) == (initial, choices)


def test_two_columns_of_one_meaning_are_refused_by_name(client, choose_file):
    chosen = choose_file([("family name", "seat", "hips"), ("Wren", "38", "39")])
    sent = {"means-0": "family_name", "means-1": "measure:seat:", "means-2": "measure:seat:"}

    answer = client.post(chosen.url, sent | {"unit": "in"})

    assert answer.status_code == 422
    assert answer.context["form"].errors == {
        "means-2": ["“seat” is that already: choose one of them."]
    }


def test_list_left_lying_a_week_is_gone(client, read):
    upload = read(rows_of(good_row(1)))
    Upload.objects.update(at=upload.at - KEPT_FOR)

    assert client.get(upload.get_absolute_url()).status_code == 404
    assert (services.drop_expired() > 0, Upload.objects.count()) == (True, 0)


def test_import_page_takes_the_whole_import_back(client, bring, owner):
    entry = bring(rows_of(good_row(1)))

    answer = client.post(page("import_take_back", entry.pk), {"entry_id": uuid.uuid4()})

    assert (answer.url, Customer.objects.count()) == (entry.get_absolute_url(), 0)
    assert client.get(answer.url).context["struck"].by == owner


def test_import_page_tells_what_stands_in_the_way(client, bring):
    entry = bring(rows_of(good_row(1)))
    Customer.objects.update(version=2)

    answer = client.post(page("import_take_back", entry.pk), {"entry_id": uuid.uuid4()})

    number = Customer.objects.get().number
    assert (answer.status_code, answer.context["in_the_way"]) == (
        422,
        [f"1 × customer changed since: {number}."],
    )


@pytest.mark.parametrize("count", [1, 3, 30])
def test_preview_asks_the_same_number_of_questions(client, read, django_assert_num_queries, count):
    upload = read(rows_of(*map(good_row, range(count))))

    with django_assert_num_queries(8):
        client.get(upload.get_absolute_url())


@pytest.mark.parametrize("count", [1, 3])
def test_list_of_imports_asks_the_same_number_of_questions(
    client, bring, django_assert_num_queries, count
):
    for number in range(count):
        bring(rows_of(good_row(number)))

    with django_assert_num_queries(5):
        client.get(page("import_list"))


def test_bar_falls_silent_when_the_list_is_written(client, read, owner):
    upload = read(rows_of(good_row(1)))
    address = page("upload_progress", upload.pk)
    progress.tell(upload.pk, 30, 120)

    during = client.get(address)
    write_list(upload=upload, seen=upload.version, by=owner)

    assert b'value="25"' in during.content
    assert (client.get(address).status_code, client.get(address).content) == (204, b"")


def test_column_left_out_is_not_read(client, read):
    rows = [("family name", "measured on", "chest"), ("Wren", "2024-03-31", "not a measure")]

    upload = read(rows, means={1: "", 2: ""})

    assert [row.outcome for row in upload.rows_read.all()] == ["new"]


def test_import_page_asks_as_much_of_many_as_of_one(client, bring):
    entries = [bring(rows_of(good_row(0))), bring(rows_of(*map(good_row, range(1, 31))))]

    counts = []
    for entry in entries:
        with CaptureQueriesContext(connection) as asked:
            client.get(entry.get_absolute_url())
        counts.append(len(asked))

    # One question for each table that refers to what was brought, rooms yet to come among them.
    assert counts == [counts[0]] * 2
