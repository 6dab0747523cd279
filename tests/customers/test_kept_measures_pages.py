"""Measures corrected, shown and compared, and what the pages cost."""

import datetime
import uuid
from http import HTTPStatus

import pytest
from django.urls import reverse
from django.utils import timezone

from customers.lengths import Length
from customers.models import MeasurementSet
from tests.factories import CustomerFactory, GarmentFactory, MeasurementSetFactory, UserFactory

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


# Correcting


def test_correction_opens_with_the_old_values(client, fitter, measured):
    page = client.get(correcting(measured))

    assert (value_of(page, "chest"), value_of(page, "wrist-R")) == ("38 1/2", "6 5/8")
    assert page.context["form"]["taken_on"].value() == datetime.date(2026, 1, 5)


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize(
    ("kept", "unit", "shown"),
    [
        (Length.of_cm("97.85"), "in", "97.85 cm"),
        (Length.inches(38.5), "cm", "38 1/2 in"),
        (Length.of_cm("97.8"), "cm", "97.8"),
    ],
)
def test_correction_shows_a_value_that_stays_exact(client, ozge, kept, unit, shown):
    old = MeasurementSetFactory(customer=ozge, unit=unit)
    old.measurements.create(point="chest", value=kept)

    assert value_of(client.get(correcting(old)), "chest") == shown


def test_correction_strikes_old_and_stays_readable(client, fitter, measured, sheet):
    answer = client.post(correcting(measured), {**sheet, "waist": "34"})

    new = MeasurementSet.objects.standing().get()
    assert (answer.url, new.strikes) == (new.get_absolute_url(), measured)
    assert "This set was corrected on" in client.get(measured.get_absolute_url()).text
    assert "It corrects" in client.get(new.get_absolute_url()).text


def test_correcting_a_slip_asks_nothing_about_the_slip(client, fitter, ozge, sheet):
    slip = MeasurementSetFactory(customer=ozge, measures={("chest", ""): 14})

    client.post(correcting(slip), sheet)

    assert MeasurementSet.objects.standing().get().lengths()["chest", ""] == Length.inches(38.5)


def test_correcting_a_set_cut_from_is_refused(client, fitter, measured, sheet):
    GarmentFactory(customer=measured.customer, measurement_set=measured)
    refusal = "A garment was cut from that set, so it stays as it is. Take a new set instead."

    opened = client.get(correcting(measured), follow=True)
    sent = client.post(correcting(measured), sheet)

    assert [str(message) for message in opened.context["messages"]] == [refusal]
    assert errors_of(sent) == {"__all__": [refusal]}
    assert (value_of(sent, "chest"), MeasurementSet.objects.count()) == ("38 1/2", 1)


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize("page", ["set_detail", "set_correct"])
def test_set_under_another_customer_is_not_found(client, measured, sheet, page):
    address = reverse(f"customers:{page}", args=[CustomerFactory().number, measured.pk])

    assert client.get(address).status_code == HTTPStatus.NOT_FOUND
    assert client.post(address, sheet).status_code in {404, 405}
    assert MeasurementSet.objects.count() == 1


# Showing


@pytest.mark.usefixtures("fitter")
def test_set_tells_the_figure_and_what_is_lacking(client, ozge):
    row = MeasurementSetFactory(
        customer=ozge, measures={("chest", ""): 36, ("across-chest", ""): 8.5, ("waist", ""): 0}
    )

    page = client.get(row.get_absolute_url())

    assert page.context["says"].keys == ("prominent-chest",)
    assert page.text.count("<li>Waist is set aside: no adult is likely to measure so.</li>") == 1
    assert page.text.count("Drop and class: not told without waist.") == 1


def test_set_shows_its_doubts_and_its_garments(client, fitter, ozge):
    row = MeasurementSetFactory(customer=ozge, measures={("chest", ""): 14})
    coat = GarmentFactory(customer=ozge, measurement_set=row)

    page = client.get(row.get_absolute_url())

    assert [doubt.point for doubt in page.context["doubts"]] == ["chest"]
    assert page.context["garments"] == [coat]
    assert "Correct a mistake" not in page.text


def test_set_offers_correction_while_unused(client, fitter, measured):
    assert correcting(measured) in client.get(measured.get_absolute_url()).text


def test_workroom_reads_a_set_without_doors_it_lacks(client, measured):
    client.force_login(UserFactory(role="workroom"))

    page = client.get(measured.get_absolute_url()).text

    assert '<b class="length">38 1/2 in</b> <span class="quiet length">97.8 cm</span>' in page
    assert (correcting(measured) in page, measured.customer.get_absolute_url() in page) == (
        False,
        False,
    )


# Comparing


def comparing(customer):
    return reverse("customers:set_compare", args=[customer.number])


@pytest.fixture
def later(measured):
    return MeasurementSetFactory(
        customer=measured.customer,
        taken_on=datetime.date(2026, 6, 5),
        measures={("chest", ""): 39, ("neck", ""): 15.5},
    )


def rows_of(answer):
    return [
        (line.point.key, cell.one, cell.other, cell.words)
        for group in answer.context["groups"]
        for line in group.lines
        for cell in line.cells
    ]


def test_newest_two_sets_are_compared_unasked(client, fitter, measured, later):
    answer = client.get(comparing(measured.customer))

    assert rows_of(answer)[:3] == [
        ("neck", "", "15 1/2 in", ""),
        ("chest", "38 1/2 in", "39 in", "+1/2 in (± 3/8 in)"),
        ("waist", "33 in", "", ""),
    ]
    assert "not taken" in answer.text


def test_any_two_sets_are_compared_the_way_asked(client, fitter, measured, later):
    answer = client.get(comparing(measured.customer), {"one": later.pk, "other": measured.pk})

    assert rows_of(answer)[1] == ("chest", "39 in", "38 1/2 in", "-1/2 in (± 3/8 in)")


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize("asked", ["", "nonsense", SCRIPT, str(uuid.UUID(int=7)), MEGABYTE[:3000]])
def test_compare_refuses_what_is_not_a_set_of_theirs(client, measured, later, asked):
    answer = client.get(comparing(measured.customer), {"one": asked, "other": later.pk})

    assert (answer.status_code, list(errors_of(answer))) == (422, ["one"])
    assert SCRIPT not in answer.text


def test_compare_refuses_another_customers_set(client, fitter, measured, later):
    theirs = MeasurementSetFactory()

    answer = client.get(comparing(measured.customer), {"one": theirs.pk, "other": later.pk})

    assert errors_of(answer) == {"one": ["Choose one of this customer's sets."]}


@pytest.mark.parametrize("sets", [0, 1])
def test_compare_says_when_there_is_nothing_to(client, fitter, ozge, sets):
    MeasurementSetFactory.create_batch(sets, customer=ozge)

    assert "Nothing to compare yet" in client.get(comparing(ozge)).text


# Costs


@pytest.fixture(params=[1, 3, 10])
def many(request, ozge):
    """A customer with that many sets, each with a garment cut from it."""
    for day in range(request.param):
        row = MeasurementSetFactory(
            customer=ozge,
            taken_on=datetime.date(2026, 1, day + 1),
            measures={("chest", ""): 38, ("wrist", "L"): 6.5},
        )
    GarmentFactory.create_batch(request.param, customer=ozge, measurement_set=row)
    return row


@pytest.mark.usefixtures("fitter")
def test_taking_page_costs_same_queries(client, many, django_assert_num_queries):
    with django_assert_num_queries(7):  # session, user, roles, customer, house, last, people
        client.get(taking(many.customer))


@pytest.mark.usefixtures("fitter")
def test_set_page_costs_same_queries(client, many, django_assert_num_queries):
    # session, user, roles, set, measures, earlier, confirmed, garments
    with django_assert_num_queries(8):
        client.get(many.get_absolute_url())


@pytest.mark.usefixtures("fitter")
def test_keeping_costs_same_queries(client, many, sheet, django_assert_max_num_queries):
    with django_assert_max_num_queries(20):
        client.post(taking(many.customer), sheet)

    assert MeasurementSet.objects.filter(pk=sheet["entry_id"]).exists()


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize("sets", [2, 3, 20])
def test_compare_costs_same_queries(client, ozge, sets, django_assert_num_queries):
    MeasurementSetFactory.create_batch(sets, customer=ozge, measures={("chest", ""): 38})

    with django_assert_num_queries(7):  # session, user, roles, customer, sets, house, measures
        client.get(comparing(ozge))
