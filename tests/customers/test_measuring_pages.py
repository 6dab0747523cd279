"""Taking measures: what is kept, what is asked before saving, what nonsense meets."""

import datetime
from http import HTTPStatus

import pytest
from django.urls import reverse
from django.utils import timezone

from customers.lengths import Length
from customers.models import House, MeasurementSet
from tests.factories import CustomerFactory, MeasurementSetFactory, UserFactory

SCRIPT = "<script>alert(1)</script>"
MEGABYTE = "x" * 1_000_000
CHEST_14 = "Chest 14 in is less than 27 in, rare in an adult. Were inches typed as centimetres?"
UNREADABLE = "cannot be read: write it like 38 1/2, 38.5 or 97.8 cm."
TOO_LONG = "That is too long for one measure: write it like 38 1/2 or 97.8 cm."
TOMORROW = (timezone.localdate() + datetime.timedelta(days=1)).isoformat()


def taking(customer):
    return reverse("customers:set_create", args=[customer.number])


def correcting(row):
    return reverse("customers:set_correct", args=[row.customer.number, row.pk])


def errors_of(answer):
    return {name: list(texts) for name, texts in answer.context["form"].errors.items()}


def value_of(answer, name):
    groups = answer.context["form"].groups()
    places = [place for group in groups for line in group.lines for place in line.cells]
    return next(place["value"] for place in places if place["name"] == name)


# Taking


def test_sheet_is_kept_as_one_set(client, fitter, ozge, sheet):
    answer = client.post(taking(ozge), {**sheet, "chest-again": "38 5/8", "note": "Watch on left"})

    row = MeasurementSet.objects.get()
    assert answer.url == row.get_absolute_url()
    assert row.lengths() == {
        ("chest", ""): Length.inches(38.5),
        ("wrist", "L"): Length.inches(6.5),
        ("wrist", "R"): Length.of_mm(168),
    }
    assert (row.lengths(2), row.note) == ({("chest", ""): Length.inches(38.625)}, "Watch on left")


def test_sheet_sent_twice_is_kept_once(client, fitter, ozge, sheet):
    first, second = client.post(taking(ozge), sheet), client.post(taking(ozge), sheet)

    assert (first.url, MeasurementSet.objects.count()) == (second.url, 1)


def test_new_sheet_shows_today_me_and_last_values(client, fitter, measured):
    form = client.get(taking(measured.customer)).context["form"]

    places = {p["name"]: p["last"] for g in form.groups() for line in g.lines for p in line.cells}
    assert (form["taken_on"].value(), form["taken_by"].value()) == (timezone.localdate(), fitter.pk)
    assert {name: last for name, last in places.items() if last} == {
        "chest": "38 1/2",
        "waist": "33",
        "wrist-L": "6 1/2",
        "wrist-R": "6 5/8",
    }


@pytest.mark.parametrize(
    ("query", "chosen"),
    [
        ("", ["coat"]),
        ("?for=trousers", ["trousers"]),
        ("?for=overcoat&for=waistcoat", ["coat", "waistcoat"]),
        ("?for=hat", ["coat"]),
    ],
)
def test_sheet_opens_for_the_garments_asked(client, fitter, ozge, query, chosen):
    form = client.get(taking(ozge) + query).context["form"]

    assert form["garments"].value() == chosen


@pytest.mark.parametrize(
    ("query", "unit"), [("", "cm"), ("?unit=in", "in"), ("?unit=ell", "cm"), ("?unit=", "cm")]
)
def test_sheet_is_in_the_unit_asked_or_the_houses(client, fitter, ozge, query, unit):
    House.objects.update(unit="cm")

    page = client.get(taking(ozge) + query)

    assert page.context["form"].length_unit == unit
    assert f'data-pad="{unit}"' in page.text


def test_sheet_in_centimetres_reads_plain_figures_so(client, fitter, ozge, sheet):
    client.post(taking(ozge), {**sheet, "unit": "cm", "chest": "97,8", "wrist-L": "16.5"})

    assert MeasurementSet.objects.get().lengths()["chest", ""] == Length.of_cm("97.8")


# What is asked before saving


def test_gross_mistake_is_asked_about_beside_its_field(client, fitter, ozge, sheet):
    answer = client.post(taking(ozge), {**sheet, "chest": "14"})

    (question,) = errors_of(answer)["chest"]
    assert question.startswith("Chest 14 in is less than 27 in, rare in an adult.")
    assert (value_of(answer, "chest"), value_of(answer, "wrist-L")) == ("14", "6½")
    assert f'name="right" value="chest: {question}"' in answer.text
    assert (answer.status_code, MeasurementSet.objects.count()) == (422, 0)


def test_doubt_ticked_as_right_is_kept(client, fitter, ozge, sheet):
    asked = errors_of(client.post(taking(ozge), {**sheet, "chest": "14"}))["chest"][0]

    client.post(taking(ozge), {**sheet, "chest": "14", "right": [f"chest: {asked}"]})

    assert MeasurementSet.objects.get().lengths()["chest", ""] == Length.inches(14)


def test_tick_does_not_answer_for_another_figure(client, fitter, ozge, sheet):
    asked = errors_of(client.post(taking(ozge), {**sheet, "chest": "14"}))["chest"][0]

    answer = client.post(taking(ozge), {**sheet, "chest": "13", "right": [f"chest: {asked}"]})

    assert errors_of(answer)["chest"][0].startswith("Chest 13 in is less than 27 in")
    assert MeasurementSet.objects.count() == 0


def test_every_doubt_needs_its_own_tick(client, fitter, ozge, sheet):
    two = {**sheet, "chest": "14", "neck": "40"}
    asked = errors_of(client.post(taking(ozge), two))

    answer = client.post(taking(ozge), {**two, "right": [f"chest: {asked['chest'][0]}"]})

    assert (sorted(asked), list(errors_of(answer))) == (["chest", "neck"], ["neck"])
    assert 'id="right-chest" name="right"' in answer.text


def test_change_since_last_set_is_asked_about(client, fitter, measured, sheet):
    answer = client.post(taking(measured.customer), {**sheet, "chest": "44"})

    assert errors_of(answer) == {
        "chest": ["Chest 44 in, and it was 38 1/2 in before. Is it as the tape said?"]
    }


def test_second_reading_apart_and_rare_is_asked_whole(client, fitter, ozge, sheet):
    answer = client.post(taking(ozge), {**sheet, "chest": "14", "chest-again": "38"})

    (asked,) = errors_of(answer)["chest"]
    assert asked.startswith("Chest 14 in, then 38 in. Which is right? Take it a third time. Chest")
    assert "less than 27 in" in asked


def test_empty_measures_are_listed_where_page_did_not(client, fitter, ozge, sheet):
    sheet |= {"listed": "", "garments": ["trousers"], "seat": "39"}

    answer = client.post(taking(ozge), sheet)

    (asked,) = errors_of(answer)["without"]
    assert asked.startswith("Not taken: Height, Trouser waist, Side length left, Side length")
    assert "Seat" not in asked
    client.post(taking(ozge), {**sheet, "without": "on"})
    assert MeasurementSet.objects.count() == 1


# Nonsense


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("chest", "wide", f"wide {UNREADABLE}"),
        ("chest", "38 9/8", "9/8 is not less than one: count the whole ones with the first"),
        ("chest", "-38", "A measure cannot be less than nothing: leave out the minus sign."),
        ("chest", "0", "A measure is more than nothing: leave it empty instead."),
        ("chest", "1000", "1000 is longer than any measure of a person"),
        ("chest", SCRIPT, f"{SCRIPT} {UNREADABLE}"),
        ("chest", MEGABYTE, TOO_LONG),
        ("chest", "38\x00", "Null characters are not allowed."),
        ("chest-again", "narrow", f"narrow {UNREADABLE}"),
        ("waist-again", "33", None),
        ("taken_on", TOMORROW, "That day has not come yet."),
        ("taken_on", "0001-01-01", "That is more than a hundred years ago: look at the year."),
        ("taken_on", "", "This field is required."),
        ("taken_by", "999999", "Select a valid choice."),
        ("taken_by", SCRIPT, "Select a valid choice."),
        ("note", "x" * 1001, "Ensure this value has at most 1000 characters (it has 1001)."),
        ("unit", "ell", "This page has lost a part of itself: open it again."),
        ("garments", "hat", "Select a valid choice. hat is not one of the available choices."),
        ("entry_id", "nonsense", "Enter a valid UUID."),
    ],
)
def test_sheet_refuses_beside_the_field(client, sheet, field, value, message):
    answer = client.post(taking(CustomerFactory()), {**sheet, field: value})

    where = "waist" if message is None else field
    (said,) = errors_of(answer)[where]
    assert said.startswith(message or "The first reading is missing.")
    assert (answer.status_code, SCRIPT in answer.text) == (422, False)
    assert (value_of(answer, "wrist-R"), MeasurementSet.objects.count()) == ("16.8 cm", 0)


def test_unreadable_measure_is_kept_and_marked(client, fitter, ozge, sheet):
    answer = client.post(taking(ozge), {**sheet, "wrist-L": "<b>6"})

    assert value_of(answer, "wrist-L") == "<b>6"
    assert 'value="&lt;b&gt;6"' in answer.text
    assert 'aria-invalid="true" aria-describedby="id_wrist-L_error"' in answer.text


@pytest.mark.parametrize("data", [{}, {"listed": "1"}])
def test_sheet_with_nothing_sent_is_told_so(client, fitter, ozge, data):
    answer = client.post(taking(ozge), data)

    assert list(errors_of(answer)) == ["entry_id", "taken_on", "taken_by", "unit"]
    assert MeasurementSet.objects.count() == 0


def test_sheet_without_a_measure_is_refused(client, fitter, ozge, sheet):
    blank = {**sheet, "chest": "", "wrist-L": " ", "wrist-R": ""}

    answer = client.post(taking(ozge), blank)

    assert errors_of(answer) == {"__all__": ["Take at least one measure before keeping the set."]}


def test_sheet_with_someone_elses_entry_is_refused(client, fitter, ozge, sheet):
    theirs = MeasurementSetFactory()

    answer = client.post(taking(ozge), {**sheet, "entry_id": theirs.pk})

    assert errors_of(answer) == {
        "entry_id": ["This page was already used by someone else: open it again."]
    }


@pytest.mark.parametrize("role", ["front of house", "workroom"])
def test_taking_is_for_the_fitting_room(client, ozge, role):
    client.force_login(UserFactory(role=role))

    assert client.get(taking(ozge)).status_code == HTTPStatus.FORBIDDEN
