"""Booking a fitting: what is filled in, kept, refused beside its field, and offered instead."""

import datetime
import uuid

import pytest
from django.utils import timezone

from customers.numbers import next_number
from fittings.models import Booking, Room
from garments.models import Garment
from tests.diary.conftest import errors_of, local, soon
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    MeasurementSetFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

PAGE = "/diary/book/"
NOBODY = next_number("C", 9998)[0]


# -- who it is for ---------------------------------------------------------------------------------


def test_customer_is_found_as_one_types(at_desk, customer):
    CustomerFactory(family_name="Eddery", given_name="Maud")

    answer = at_desk.get(PAGE, {"q": "marr", "time": "10:00"}, headers={"HX-Request": "true"})

    html = answer.content.decode()
    assert (html.count("<html"), html.count("<li>")) == (0, 1)
    assert html.count(f'href="/diary/book/?customer={customer.number}&amp;time=10%3A00"') == 1


def test_customer_is_found_without_javascript(at_desk, customer):
    answer = at_desk.get(PAGE, {"q": "marrowby tob", "fitter": "3"})

    html = answer.content.decode()
    assert list(answer.context["found"]) == [customer]
    assert html.count('<input type="hidden" name="fitter" value="3">') == 1
    assert html.count("<html") == 1


def test_nobody_found_offers_to_register(at_desk):
    html = at_desk.get(PAGE, {"q": "<b>zz"}).content.decode()

    assert html.count("Nobody is kept under “&lt;b&gt;zz”.") == 1


@pytest.mark.parametrize(
    ("number", "message"),
    [
        ("", "This field is required."),
        ("C1001-", "The check character does not fit: look at the number again."),
        (NOBODY, f"There is no customer {NOBODY}."),
        ("<script>", "The check character does not fit: look at the number again."),
        ("C1\x00", "Null characters are not allowed."),
        ("9" * 5000, "Ensure this value has at most 20 characters (it has 5000)."),
    ],
)
def test_wrong_customer_asks_again(at_desk, number, message):
    answers = at_desk.get(PAGE, {"customer": number}), at_desk.post(PAGE, {"customer": number})

    assert [answer.context["wrong"] for answer in answers] == [[message], [message]]
    assert [answer.status_code for answer in answers] == [200, 422]
    assert Booking.objects.count() == 0


# -- what is filled in -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "purpose"),
    [
        ("basted", "first-fitting"),
        ("altering", "forward-fitting"),
        ("finished", "final-look"),
        ("returned", "return-look"),
    ],
)
def test_only_garment_in_work_and_its_next_look_are_chosen(at_desk, customer, coat, stage, purpose):
    Garment.objects.update(stage=stage)

    form = at_desk.get(PAGE, {"customer": customer.number}).context["form"]

    assert form["garments"].value() == [coat.pk]
    assert form["purpose"].value() == purpose


def test_garment_named_by_the_link_is_chosen(at_desk, customer, coat):
    other = GarmentFactory(customer=customer, stage="finished", kind="trousers")

    form = at_desk.get(PAGE, {"customer": customer.number, "garments": other.number}).context[
        "form"
    ]

    assert (form["garments"].value(), form["purpose"].value()) == ([other.pk], "final-look")


def test_new_customer_is_to_be_measured(at_desk, customer):
    form = at_desk.get(PAGE, {"customer": customer.number}).context["form"]

    assert (form["garments"].value(), form["purpose"].value()) == ([], "measure")


@pytest.mark.parametrize(
    ("measured", "chosen"), [(False, ("measure", 0)), (True, ("first-fitting", 1))]
)
def test_customer_is_measured_before_what_is_ordered_is_fitted(
    at_desk, customer, coat, measured, chosen
):
    Garment.objects.update(stage="ordered")
    MeasurementSetFactory.create_batch(int(measured), customer=customer)

    form = at_desk.get(PAGE, {"customer": customer.number, "garment": coat.number}).context["form"]

    assert (form["purpose"].value(), len(form["garments"].value())) == chosen


def test_link_fills_in_time_fitter_and_room(at_desk, customer, odile, ansel, back_room):
    asked = {
        "customer": customer.number,
        "date": f"{soon()}",
        "time": "11:15",
        "fitter": odile.pk,
        "room": back_room.pk,
        "purpose": "final-look",
    }

    answer = at_desk.get(PAGE, asked)

    form = answer.context["form"]
    assert [form[name].value() for name in ("date", "fitter", "room", "purpose")] == [
        soon(),
        odile.pk,
        back_room.pk,
        "final-look",
    ]
    assert answer.content.decode().count('value="11:15"') == 1
    assert answer.context["offers"] == {}


@pytest.mark.parametrize(
    "nonsense",
    [
        {"date": "0001-01-01", "time": "25:99"},
        {"date": "9999-12-31", "fitter": "0"},
        {"fitter": "<script>", "room": "9" * 40, "purpose": "tea"},
        {"garment": "G1\x00", "garments": "x" * 9000, "date": "\x00"},
    ],
)
def test_nonsense_in_a_link_is_left_out(at_desk, customer, coat, ansel, nonsense):
    answer = at_desk.get(PAGE, {"customer": customer.number, **nonsense})

    assert answer.status_code == 200
    assert answer.context["form"]["fitter"].value() is None
    assert len(answer.context["offers"]["times"]) == 3


def test_fitter_who_books_is_the_fitter(client, customer, ansel, odile):
    client.force_login(odile)

    form = client.get(PAGE, {"customer": customer.number}).context["form"]

    assert form["fitter"].value() == odile.pk


def test_house_without_rooms_gets_its_first(at_desk, customer, ansel):
    at_desk.get(PAGE, {"customer": customer.number})

    assert [room.name for room in Room.objects.all()] == ["Fitting room"]


# -- booking ---------------------------------------------------------------------------------------


def test_booking_is_kept_and_shown(at_desk, typed, coat, desk):
    answer = at_desk.post(PAGE, typed, follow=True)

    booking = Booking.objects.get()
    assert answer.redirect_chain == [(f"/diary/{booking.pk}/", 302)]
    assert (local(booking.starts_at), local(booking.ends_at)[-5:]) == (f"{soon()} 10:00", "10:45")
    assert list(booking.garments.all()) == [coat]
    assert (booking.fitter_id, booking.room_id) == (typed["fitter"], typed["room"])
    assert booking.changes.get().by == desk


@pytest.mark.parametrize(
    ("purpose", "length", "minutes"),
    [("first-fitting", "", 45), ("final-look", "", 15), ("final-look", "90", 90)],
)
def test_length_is_the_usual_unless_chosen(at_desk, typed, purpose, length, minutes):
    at_desk.post(PAGE, typed | {"purpose": purpose, "length": length})

    booking = Booking.objects.get()
    assert booking.ends_at - booking.starts_at == datetime.timedelta(minutes=minutes)


def test_same_form_sent_twice_books_once(at_desk, typed):
    answers = [at_desk.post(PAGE, typed) for _ in range(2)]

    assert {answer.url for answer in answers} == {f"/diary/{Booking.objects.get().pk}/"}


def test_room_left_open_is_whichever_is_free(at_desk, typed, front_room, back_room, odile):
    at_desk.post(PAGE, typed | {"room": back_room.pk, "fitter": odile.pk})
    at_desk.post(PAGE, typed | {"room": "", "entry_id": str(uuid.uuid4())})

    assert set(Booking.objects.values_list("room__name", flat=True)) == {"Back room", "Front room"}


def test_every_room_taken_is_told(at_desk, typed, odile):
    at_desk.post(PAGE, typed | {"fitter": odile.pk})

    answer = at_desk.post(PAGE, typed | {"room": "", "entry_id": str(uuid.uuid4())})

    assert errors_of(answer) == {"time": ["Every room is taken then."]}


def test_taken_time_is_named_and_three_are_offered(at_desk, typed, customer):
    at_desk.post(PAGE, typed)

    answer = at_desk.post(PAGE, typed | {"entry_id": str(uuid.uuid4()), "note": "With his wife"})

    sentence = f"Ansel Wren is with {customer.number} from 10:00 to 10:45."
    assert (answer.status_code, errors_of(answer)) == (422, {"time": [sentence]})
    assert answer.context["form"]["note"].value() == "With his wife"
    offered = [local(start) for start in answer.context["offers"]["times"]]
    assert offered == [f"{soon()} {at}" for at in ("10:45", "11:00", "11:15")]


def test_offered_time_is_booked_by_one_tap(at_desk, typed):
    at_desk.post(PAGE, typed)
    again = typed | {"entry_id": str(uuid.uuid4()), "note": "With his wife"}
    html = at_desk.post(PAGE, again).content.decode()

    assert html.count(f'name="take" value="{soon()}T11:00"') == 1
    at_desk.post(PAGE, again | {"take": f"{soon()}T11:00"})

    booking = Booking.objects.order_by("starts_at").last()
    assert (local(booking.starts_at), booking.note) == (f"{soon()} 11:00", "With his wife")


def test_time_left_empty_offers_the_next(at_desk, typed):
    answer = at_desk.post(PAGE, typed | {"time": ""})

    assert errors_of(answer) == {"time": ["Say when, or take one of the free times."]}
    assert local(answer.context["offers"]["times"][0]) == f"{soon()} 09:00"


# -- what it costs ---------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3, 40])
def test_form_costs_the_same_for_one_and_forty(
    at_desk, customer, ansel, django_assert_num_queries, count
):
    coat, *_ = GarmentFactory.create_batch(count, customer=customer)
    MeasurementSetFactory(customer=customer)
    UserFactory(role="fitter")
    for number in range(count):
        BookingFactory(
            starts_at=timezone.now() + datetime.timedelta(days=1 + number),
            customer=customer,
            fitter=ansel,
        )

    with django_assert_num_queries(23):
        at_desk.get(PAGE, {"customer": customer.number, "garment": coat.number})
