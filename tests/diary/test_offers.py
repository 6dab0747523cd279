"""The three best times on the booking form: who, when, and within which days."""

import datetime
import uuid

import pytest
from django.http import QueryDict

from fittings.diary import offering
from fittings.diary.forms import taking
from fittings.diary.promised import Bounds
from fittings.models import Booking
from tests.diary.conftest import local, moment, soon
from tests.factories import BookingFactory, GarmentFactory, RoomFactory
from tests.factories.fittings import MakerFactory

pytestmark = pytest.mark.django_db

PAGE = "/diary/book/"


@pytest.fixture
def bounded(monkeypatch):
    """The days the workroom gives, as the test says them."""

    def say(**days):
        monkeypatch.setattr(offering, "bounds", lambda garments, purpose: Bounds(**days))

    return say


def offered(client, customer, **asked):
    answer = client.get(PAGE, {"customer": customer.number, "date": f"{soon()}", **asked})
    return answer.context["offers"]


def test_best_times_are_with_whoever_knows_the_customer(at_desk, customer, coat, ansel, odile):
    BookingFactory(customer=customer, fitter=odile, state="kept", starts_at=moment(soon(-30)))

    offers = offered(at_desk, customer)

    assert [slot.fitter for slot in offers["slots"]] == [odile] * 3
    assert [local(at) for at in offers["times"]] == [
        f"{soon()} {time}" for time in ("09:00", "11:00", "13:00")
    ]


def test_customer_is_offered_no_time_they_have_already(at_desk, customer, coat, ansel, odile):
    BookingFactory(customer=customer, fitter=odile, starts_at=moment(soon(), "09:00"))

    offers = offered(at_desk, customer, fitter=ansel.pk)

    assert [local(at)[-5:] for at in offers["times"]] == ["09:30", "11:30", "13:30"]


def test_offers_begin_when_the_garment_hangs(at_desk, customer, coat, ansel, bounded):
    bounded(ready=soon(9))

    assert local(offered(at_desk, customer)["times"][0]) == f"{soon(9)} 09:00"


def test_offers_end_with_the_latest_day(at_desk, coat, ansel, front_room, bounded):
    bounded(latest=soon(7))
    for hour in (9, 11, 13):
        BookingFactory(
            fitter=ansel,
            room=front_room,
            starts_at=moment(soon(), f"{hour:02}:00"),
            ends_at=moment(soon(), f"{hour + 2:02}:00"),
        )

    offers = offered(at_desk, coat.customer)

    assert [local(at) for at in offers["times"]] == [f"{soon()} 15:00", f"{soon()} 17:15"]
    assert offers["said"] == ""


def test_times_after_the_latest_day_are_said_to_be_late(at_desk, customer, coat, ansel, bounded):
    bounded(ready=soon(9), latest=soon(8))

    offers = offered(at_desk, customer)

    latest = soon(8)
    day = f"{latest:%A} {latest.day} {latest:%B}"
    assert offers["said"].startswith(f"Nothing is free by {day}, the latest day for the promise")
    assert local(offers["times"][0]) == f"{soon(9)} 09:00"


def test_makers_of_the_house_set_the_days(at_desk, customer, coat, ansel):
    for craft in ("cutter", "coat-maker", "finisher"):
        MakerFactory(craft=craft)
    coat.promised_on = soon(5)
    coat.save()

    offers = offered(at_desk, customer, date="")

    assert offers["said"].startswith("Nothing is free by ")


def test_one_touch_books_time_and_fitter_together(at_desk, customer, odile, typed):
    BookingFactory(customer=customer, fitter=odile, state="kept", starts_at=moment(soon(-30)))
    value = offered(at_desk, customer)["slots"][0].value

    at_desk.post(PAGE, typed | {"time": "", "take": value, "fitter": ""})

    booking = Booking.objects.get(state="booked")
    assert (booking.fitter, local(booking.starts_at)) == (odile, f"{soon()} 09:00")


def test_fitter_chosen_outweighs_who_was_offered():
    sent = QueryDict("take=2026-11-26T09:30 7&fitter=3")
    nobody = QueryDict("take=2026-11-26T09:30 7&fitter=")

    assert [taking(data)["fitter"] for data in (sent, nobody)] == ["3", "7"]
    assert (taking(sent)["date"], taking(sent)["time"]) == ("2026-11-26", "09:30")


def test_two_garments_are_offered_a_longer_time(at_desk, customer, coat, ansel, typed):
    trousers = GarmentFactory(customer=customer, kind="trousers", stage="basted")

    both = typed | {"garments": [coat.pk, trousers.pk], "entry_id": str(uuid.uuid4())}
    at_desk.post(PAGE, both)

    booking = Booking.objects.get()
    assert booking.ends_at - booking.starts_at == datetime.timedelta(minutes=60)


@pytest.mark.parametrize(
    "take", ["T", "x", "2030-01-01Tx y", f"{'9' * 5000}T10:00 1", "T10:00\x00"]
)
def test_nonsense_for_a_tapped_time_keeps_the_form(at_desk, typed, take):
    answer = at_desk.post(PAGE, typed | {"take": take, "note": "Shoes", "time": ""})

    assert (answer.status_code, Booking.objects.count()) == (422, 0)
    assert answer.context["form"]["note"].value() == "Shoes"


# -- whoever is free -------------------------------------------------------------------------------


def sent(customer, coat, **values):
    about = {"customer": customer.number, "garments": coat.pk, "purpose": "first-fitting"}
    return about | {"fitter": "", "room": "", "length": "", "note": ""} | values


def test_offer_taken_untouched_is_with_whom_it_names(at_desk, customer, coat, ansel, odile):
    BookingFactory(customer=customer, fitter=odile, state="kept", starts_at=moment(soon(-30)))
    page = at_desk.get(PAGE, {"customer": customer.number, "date": f"{soon()}"})
    form, slot = page.context["form"], page.context["offers"]["slots"][0]
    untouched = {"fitter": form["fitter"].value() or "", "take": slot.value}

    at_desk.post(PAGE, sent(customer, coat, entry_id=uuid.uuid4(), **untouched))

    booking = Booking.objects.get(state="booked")
    assert (booking.fitter, booking.starts_at) == (odile, slot.start)


def test_time_typed_goes_to_who_knows_the_customer(at_desk, customer, coat, ansel, odile):
    BookingFactory(customer=customer, fitter=odile, state="kept", starts_at=moment(soon(-30)))
    typed = {"entry_id": uuid.uuid4(), "date": f"{soon()}", "time": "10:00"}

    at_desk.post(PAGE, sent(customer, coat, **typed))

    assert Booking.objects.get(customer=customer, state="booked").fitter == odile


def test_time_typed_goes_to_who_is_free(at_desk, customer, coat, ansel, odile):
    BookingFactory(fitter=ansel, starts_at=moment(soon(), "10:00"))
    RoomFactory()
    typed = {"entry_id": uuid.uuid4(), "date": f"{soon()}", "time": "10:00"}

    at_desk.post(PAGE, sent(customer, coat, **typed))

    assert Booking.objects.get(customer=customer).fitter == odile


def test_time_at_which_nobody_is_free_is_refused(at_desk, customer, coat, ansel, odile):
    for person in (ansel, odile):
        BookingFactory(fitter=person, starts_at=moment(soon(), "10:00"))
    RoomFactory()
    typed = {"entry_id": uuid.uuid4(), "date": f"{soon()}", "time": "10:00"}

    answer = at_desk.post(PAGE, sent(customer, coat, **typed))

    assert answer.context["form"].errors == {"time": ["Nobody who fits is free then."]}
    assert len(answer.context["offers"]["slots"]) == 3


def test_times_are_asked_again_for_what_was_chosen(at_desk, customer, coat, ansel, odile):
    asked = sent(customer, coat, date=f"{soon()}", again="1")

    anybody = at_desk.get(PAGE, asked)
    longer = at_desk.get(PAGE, asked | {"fitter": odile.pk, "length": "90"})

    assert anybody.content.decode().count("<html") == 0
    assert [answer.context["offers"]["fitter"] for answer in (anybody, longer)] == [None, odile]
    assert len(longer.context["offers"]["slots"]) == 3
