"""Wishes and finished measures: kept, refused, and compared with what the garment is aimed at."""

import uuid
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection

from customers.lengths import NM, parse
from garments import cutting
from garments.aiming.queries import aims_of
from garments.aiming.services import record_finished_measures, record_wish, strike_wish
from garments.models import FinishedMeasure, Garment, GarmentWish
from tests.factories import (
    CustomerFactory,
    CutVersionFactory,
    GarmentFactory,
    MeasurementSetFactory,
    UserFactory,
)
from tests.garments.test_cutting import MEASURES

pytestmark = pytest.mark.django_db

SLEEVE = ("sleeve", "L")  # aimed at 24 in by the drape cut, 1/4 in either way
# as the factory of sets takes them: in inches
BODY = {place: Fraction(length.nm, NM["in"]) for place, length in MEASURES.items()}
DATA = cutting.data_of(cutting.house_cut("drape", "coat"))


@pytest.fixture
def coat():
    customer = CustomerFactory()
    MeasurementSetFactory(customer=customer, measures=BODY)
    return GarmentFactory(customer=customer, cut_version__data=DATA)


@pytest.fixture
def by():
    return UserFactory(role="fitter", first_name="Tam", last_name="Reed")


@pytest.fixture
def wish(coat, by):
    def enter(point="sleeve", amount="-1/4", **values):
        length = parse(amount, signed=True)
        values = {"entry_id": uuid.uuid4(), "by": by} | values
        return record_wish(garment=coat, point=point, amount=length, **values)

    return enter


@pytest.fixture
def measure(coat, by):
    def enter(values, **other):
        lengths = {place: parse(text) for place, text in values.items()}
        other = {"entry_id": uuid.uuid4(), "where": "board", "by": by} | other
        return record_finished_measures(garment=coat, values=lengths, **other)

    return enter


def aims(coat, unit="in"):
    fresh = Garment.objects.for_lists().get(pk=coat.pk)
    return aims_of(fresh, unit)


def line(coat, place=SLEEVE, unit="in"):
    return next(each for each in aims(coat, unit).lines if (each.point.key, each.side) == place)


def test_uncut_garment_is_aimed_by_the_newest_measures(coat):
    newer = BODY | {("sleeve-to-cuff", "L"): 33}
    MeasurementSetFactory(customer=coat.customer, measures=newer)

    assert line(coat).aimed == "25 in"


def test_cut_garment_is_aimed_by_the_set_it_was_cut_from(coat):
    coat.measurement_set = coat.customer.measurement_sets.get()
    coat.save()
    newer = BODY | {("sleeve-to-cuff", "L"): 33}
    MeasurementSetFactory(customer=coat.customer, measures=newer)

    assert (line(coat).aimed, line(coat).span) == ("24 in", "23 3/4 to 24 1/4 in")


def test_garment_without_measures_says_what_is_missing():
    coat = GarmentFactory(cut_version=CutVersionFactory(data=DATA))

    found = aims(coat)

    assert found.lines == []
    assert found.findings[0] == "Chest is not taken: no target for chest."


@pytest.mark.parametrize(
    ("value", "verdict"),
    [("24", "inside"), ("24 1/4", "inside"), ("24 3/8", "3/8 in over"), ("23 1/2", "1/2 in under")],
)
def test_measured_garment_is_inside_or_out_by_so_much(coat, measure, value, verdict):
    measure({SLEEVE: value})

    assert (line(coat).measured, line(coat).verdict) == (f"{value} in", verdict)


def test_newest_measure_of_the_garment_counts(coat, measure):
    measure({SLEEVE: "24 1/2", ("sleeve", "R"): "24"})
    measure({SLEEVE: "24"})

    assert line(coat).verdict == "inside"
    assert FinishedMeasure.objects.count() == 3


def test_zone_is_told_in_one_line_in_the_unit_asked(coat, measure):
    measure({SLEEVE: "25 1/8"})

    assert aims(coat).by_zone() == {"sleeve": ["Sleeve, left: 25 1/8 in, 1 1/8 in over"]}
    assert aims(coat, "cm").by_zone() == {"sleeve": ["Sleeve, left: 63.8 cm, 2.9 cm over"]}


def test_measure_without_a_target_is_told_alone(measure, coat):
    Garment.objects.filter(pk=coat.pk).update(cut_version=CutVersionFactory(cut__kind="coat"))
    measure({SLEEVE: "25"})

    assert aims(coat).by_zone() == {"sleeve": ["Sleeve, left: 25 in"]}


def test_measures_sent_twice_are_kept_once(measure):
    entry_id = uuid.uuid4()

    first = measure({SLEEVE: "24", ("cuff", ""): "11"}, entry_id=entry_id)

    assert measure({SLEEVE: "24", ("cuff", ""): "11"}, entry_id=entry_id) == first
    assert FinishedMeasure.objects.count() == 2


@pytest.mark.parametrize(
    ("values", "other", "field"),
    [
        ({("tail", ""): "3"}, {}, "tail"),
        ({("sleeve", ""): "24"}, {}, "sleeve"),
        ({SLEEVE: "0"}, {}, "sleeve-L"),
        ({}, {}, "__all__"),
        ({SLEEVE: "24"}, {"where": "moon"}, "where"),
    ],
)
def test_bad_measure_of_a_garment_is_refused_whole(measure, values, other, field):
    with pytest.raises(ValidationError) as refusal:
        measure({("cuff", ""): "11"} | values if values else {}, **other)

    assert list(refusal.value.message_dict) == [field]
    assert FinishedMeasure.objects.count() == 0


@pytest.mark.parametrize("table", ["garments_finishedmeasure", "garments_garmentwish"])
@pytest.mark.parametrize("statement", ["UPDATE {} SET point = 'x'", "DELETE FROM {}"])
def test_wishes_and_measures_are_only_added_to(measure, wish, table, statement):
    measure({SLEEVE: "24"})
    wish()

    with pytest.raises(IntegrityError, match="only added to"), connection.cursor() as cursor:
        cursor.execute(statement.format(table))


def test_wish_within_the_limits_moves_the_target(coat, wish):
    wish(note="Long shirts")

    (told,) = aims(coat).wishes
    assert (line(coat).aimed, told.words, told.against) == (
        "23 3/4 in",
        "More linen, 1/4 in",
        False,
    )


def test_wish_against_the_house_waits_for_a_name(coat, wish, by):
    wish(amount="-1")
    (waiting,) = aims(coat).wishes
    before = line(coat).aimed

    wish(amount="-1", accepted_by=by)

    (told,) = aims(coat).wishes
    assert (before, waiting.waits) == ("24 in", True)
    assert (line(coat).aimed, told.against, told.waits, told.accepted) == (
        "23 in",
        True,
        False,
        "Tam Reed",
    )


def test_newer_wish_takes_the_place_of_the_old(coat, wish):
    wish()
    wish(amount="1/4")

    assert [each.words for each in aims(coat).wishes] == ["Less linen, 1/4 in"]
    assert GarmentWish.objects.count() == 2


def test_wish_taken_back_moves_nothing(coat, wish, by):
    kept = wish()

    strike_wish(entry_id=uuid.uuid4(), wish=kept, by=by)

    assert (aims(coat).wishes, line(coat).aimed) == ([], "24 in")
    with pytest.raises(ValidationError):
        strike_wish(entry_id=uuid.uuid4(), wish=kept, by=by)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"point": "tail"}, "point"),
        ({"point": "rise"}, "point"),
        ({"amount": "0"}, "amount"),
        ({"amount": "13"}, "amount"),
    ],
)
def test_bad_wish_is_refused_beside_its_field(wish, values, field):
    with pytest.raises(ValidationError) as refusal:
        wish(**values)

    assert list(refusal.value.message_dict) == [field]


@pytest.mark.parametrize("rows", [1, 3, 30])
def test_aims_take_three_queries(coat, wish, measure, rows, django_assert_num_queries):
    for _ in range(rows):
        wish(point="cuff")
        measure({SLEEVE: "24"})
    fresh = Garment.objects.for_lists().get(pk=coat.pk)

    with django_assert_num_queries(3):
        assert len(aims_of(fresh, "in").lines) == 13


# The pages


def entry(**values):
    return {"entry_id": str(uuid.uuid4()), **values}


def test_measuring_page_keeps_what_was_written(client, sign_in, coat):
    person = sign_in("workroom")
    values = entry(where="body", **{"sleeve-L": "24 3/8", "cuff": "29 cm", "chest": ""})

    response = client.post(f"/garments/{coat.number}/measures/", values)

    kept = {(row.point, row.side): row for row in FinishedMeasure.objects.all()}
    assert response["Location"] == coat.get_absolute_url()
    assert {place: row.value for place, row in kept.items()} == {
        ("sleeve", "L"): parse("24 3/8"),
        ("cuff", ""): parse("29 cm"),
    }
    assert {(row.where, row.by) for row in kept.values()} == {("body", person)}


def test_measuring_page_goes_back_where_it_came_from(client, sign_in, coat):
    sign_in("fitter")

    response = client.post(
        f"/garments/{coat.number}/measures/", entry(where="body", cuff="11", next="/fitting/")
    )

    assert response["Location"] == "/fitting/"


@pytest.mark.parametrize(
    ("typed", "field", "message"),
    [
        ({"cuff": "wide"}, "cuff", "wide cannot be read: write it like 38 1/2, 38.5 or 97.8 cm."),
        ({"cuff": "0"}, "cuff", "A measure of a garment is more than nothing, and at most 120 in."),
        ({"cuff": ""}, "__all__", "Write at least one measure."),
        ({"cuff": "11", "where": ""}, "where", "This field is required."),
    ],
)
def test_measuring_page_refuses_and_keeps_typing(client, sign_in, coat, *, typed, field, message):
    sign_in("workroom")

    response = client.post(f"/garments/{coat.number}/measures/", entry(where="board") | typed)

    form = response.context["form"]
    assert (response.status_code, {k: list(v) for k, v in form.errors.items()}) == (
        422,
        {field: [message]},
    )
    assert form["cuff"].value() == typed["cuff"]
    assert FinishedMeasure.objects.count() == 0


def test_wish_page_enters_the_wish_in_the_houses_words(client, sign_in, coat, by):
    sign_in("front of house")
    values = entry(wish="back-length:less", amount="3", accepted_by=by.pk, note="As his last")

    client.post(f"/garments/{coat.number}/wish/", values)

    kept = GarmentWish.objects.get()
    assert (kept.point, kept.amount, kept.accepted_by, kept.note) == (
        "back-length",
        parse("-3", signed=True),
        by,
        "As his last",
    )


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"wish": ""}, "wish"),
        ({"wish": "tail:less"}, "wish"),
        ({"amount": "0"}, "amount"),
        ({"amount": "-1"}, "amount"),
        ({"amount": "20"}, "amount"),
        ({"accepted_by": "9999"}, "accepted_by"),
    ],
)
def test_wish_page_refuses_beside_the_field(client, sign_in, coat, *, errors_of, typed, field):
    sign_in("owner")
    values = entry(wish="sleeve:less", amount="1/4") | typed

    response = client.post(f"/garments/{coat.number}/wish/", values)

    assert (response.status_code, list(errors_of(response))) == (422, [field])
    assert GarmentWish.objects.count() == 0


def test_wish_is_taken_back_from_the_page(client, sign_in, coat, wish):
    sign_in("owner")
    kept = wish()

    response = client.post(f"/garments/{coat.number}/wish/{kept.pk}/take-back/", entry())

    assert response["Location"] == coat.get_absolute_url()
    assert GarmentWish.objects.standing().count() == 0


def test_wish_of_another_garment_is_not_found(client, sign_in, wish):
    sign_in("owner")
    other = GarmentFactory()

    response = client.post(f"/garments/{other.number}/wish/{wish().pk}/take-back/", entry())

    assert response.status_code == 404
    assert GarmentWish.objects.standing().count() == 1
