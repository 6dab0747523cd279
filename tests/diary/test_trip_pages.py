"""The pages of the trips, and what the diary's other pages show of them."""

import datetime
import io
import uuid

import pytest
from django.utils import timezone
from pypdf import PdfReader

from customers.models import Customer
from fittings.diary.services import add_room
from fittings.models import Booking, Room, Trip, TripCalledOff
from tests.diary.conftest import errors_of, moment, monday, next_monday, shown, soon, words
from tests.factories import GarmentFactory, UserFactory

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
LIST, NEW = "/trips/", "/trips/new/"


@pytest.fixture
def filled(ansel):
    """The form of a trip as it is sent when nothing is wrong with it."""
    return {
        "entry_id": str(uuid.uuid4()),
        "town": "Harwold",
        "place": "The Bell",
        "address": "2 Quay Street",
        "fitters": [ansel.pk],
        "first": f"{monday()}",
        "last": "",
        "repeats": "monthly",
        "every": "4",
        "until": "",
        "opens": "10:00",
        "closes": "17:00",
        "there": "90",
        "back": "90",
    }


@pytest.fixture
def there(fit, trip):
    """Tobiah's first fitting on the trip, at ten."""
    return fit(moment(monday()), trip.room)


def test_trip_typed_is_planned_and_shown(at_desk, filled):
    answer = at_desk.post(NEW, filled)
    kept = Trip.objects.get()

    assert answer.url == f"/trips/{kept.pk}/"
    assert (kept.every, kept.until, f"{kept.room}") == (1, None, "The Bell, Harwold")
    listed = [outing.run.first for outing, _ in at_desk.get(LIST).context["outings"]]
    assert listed[0] == monday()


@pytest.mark.parametrize(
    ("values", "errors"),
    [
        ({"town": " "}, {"town": ["Say where."]}),
        ({"place": ""}, {"place": ["Say at which place customers are fitted."]}),
        ({"fitters": []}, {"fitters": ["Say who goes."]}),
        ({"first": ""}, {"first": ["Say from which day."]}),
        ({"first": "soon"}, {"first": ["Write the day as year-month-day: 2026-11-25."]}),
        ({"opens": "ten"}, {"opens": ["Write the time as hours and minutes: 14:30."]}),
        ({"opens": "18:00"}, {"closes": ["It must close after it opens."]}),
        ({"there": ""}, {"there": ["Write the way in minutes: 90."]}),
        (
            {"back": "1441"},
            {"back": ["A way takes a day at most: a longer one is a day of the trip."]},
        ),
        ({"first": "9999-12-31"}, {"first": ["That is more than a year ahead."]}),
    ],
)
def test_wrong_trip_keeps_what_was_typed(at_desk, filled, values, errors):
    answer = at_desk.post(NEW, filled | values)

    assert (answer.status_code, errors_of(answer), Trip.objects.count()) == (422, errors, 0)
    assert answer.context["form"]["address"].value() == "2 Quay Street"


def test_booking_in_the_way_stands_beside_who_goes(at_desk, filled, booked):
    answer = at_desk.post(NEW, filled | {"first": f"{next_monday()}"})

    who = f"Ansel Wren with {booked.customer.number} on {shown(next_monday())}, 10:00"
    assert errors_of(answer) == {"fitters": [f"Booked then already: {who}. Move these first."]}


def test_trip_shows_who_comes_and_what_is_packed(at_desk, there, trip):
    page = at_desk.get(f"/trips/{trip.pk}/")

    (visit,), (peg,) = page.context["visits"], page.context["pegs"]
    assert (visit.booking, peg.garment, peg.ready) == (there, there.garments.get(), True)
    assert peg.begins == f"{monday():%a} {monday().day} {monday():%b}, 10:00"
    assert words(page.content.decode()).count(f"To pack on {shown(monday() - DAY)}") == 1


def test_trip_names_who_of_the_town_could_come(at_desk, there, trip):
    Customer.objects.update(town="harwold")
    ring = GarmentFactory(stage="basted", customer__town="Harwold").customer
    GarmentFactory(stage="delivered", customer__town="Harwold")
    GarmentFactory(stage="basted", customer__town="Selby")

    page = at_desk.get(f"/trips/{trip.pk}/")

    assert page.context["also"] == [ring]
    assert page.content.decode().count(f"?customer={ring.number}&amp;date={monday()}") == 1


def test_garment_not_ready_is_told_where_it_is(at_desk, there, trip):
    there.garments.update(stage="cut")

    (peg,) = at_desk.get(f"/trips/{trip.pk}/").context["pegs"]

    assert (peg.ready, peg.where) == (False, "Cut")


def test_packing_list_prints_on_one_a4(at_desk, there, trip):
    answer = at_desk.get(f"/trips/{trip.pk}/packing.pdf", {"day": f"{monday()}"})

    (page,) = PdfReader(io.BytesIO(answer.content)).pages
    text = " ".join(page.extract_text().split())
    size = [round(float(side) / 72 * 25.4) for side in page.mediabox[2:]]
    assert size == [210, 297]
    assert text.count(there.garments.get().number) == 2  # packed, and for whom
    assert text.count("hangs ready") == 1


@pytest.mark.parametrize("day", ["", "nonsense", "0001-01-01", "9999-12-31"])
def test_day_without_a_run_shows_the_next(at_desk, plan, day):
    made = plan(repeats="weekly", last=monday() + DAY)

    page = at_desk.get(f"/trips/{made.pk}/", {"day": day})

    assert page.context["outing"].run.first == monday()


def test_trip_called_off_whole_still_opens(at_desk, trip):
    values = {"entry_id": str(uuid.uuid4()), "first": f"{monday()}", "reason": "Ill"}
    at_desk.post(f"/trips/{trip.pk}/call-off/", values)

    page = at_desk.get(f"/trips/{trip.pk}/")

    assert page.context["outing"] is None
    assert words(page.content.decode()).count("Nobody goes there any more.") == 1
    assert at_desk.get(f"/trips/{trip.pk}/packing.pdf").status_code == 404
    assert at_desk.get(f"/trips/{trip.pk}/call-off/").status_code == 200


def test_calling_off_tells_bookings_first_and_keeps_the_reason(at_desk, there, trip):
    page = f"/trips/{trip.pk}/call-off/"
    values = {"entry_id": str(uuid.uuid4()), "first": f"{monday()}", "reason": "The line is shut"}

    asked = at_desk.post(page, values)
    kept = at_desk.post(page, values | {"anyway": "on"})

    assert (asked.status_code, list(errors_of(asked))) == (422, ["anyway"])
    assert asked.context["form"]["reason"].value() == "The line is shut"
    assert (kept.url, TripCalledOff.objects.get().reason) == ("/trips/", "The line is shut")


def test_today_says_who_is_where(at_desk, plan, customer):
    plan(first=timezone.localdate())

    page = at_desk.get("/")

    (outing,) = page.context["travelling"]
    assert (outing.who, outing.journey.town) == ("Ansel Wren", "Harwold")
    assert words(page.content.decode()).count("Ansel Wren The Bell, Harwold leaves") == 1


def test_packing_day_says_what_to_pack_for(client, plan):
    plan(first=soon(1))
    client.force_login(UserFactory(role="workroom"))

    page = client.get("/")

    (outing,) = page.context["packing"]
    assert (outing.packing, page.context["travelling"]) == (timezone.localdate(), [])


def test_garments_on_a_trip_do_not_hang_at_home(at_desk, trip, there):
    today = timezone.now()
    Booking.objects.update(starts_at=today, ends_at=today + datetime.timedelta(minutes=30))

    assert at_desk.get("/").context["hanging"] == []


def test_week_and_day_say_who_travels(at_desk, trip, ansel):
    why = f"Ansel Wren is in Harwold from {shown(monday())}, 08:30 to 18:30."

    days = at_desk.get("/diary/", {"date": f"{monday()}"}).context["days"]
    day = at_desk.get("/diary/day/", {"date": f"{monday()}"})
    heading = day.context["rows"][0].cells[0].column

    assert [row.away for row in days if row.away] == [[why]]
    assert (day.context["away"], heading.partly) == ([why], "In Harwold, 08:30 to 18:30.")


def free(page):
    return [cell.clock for row in page.context["rows"] for cell in row.cells if cell.kind == "free"]


def test_place_is_free_in_the_hours_of_its_trip_alone(at_desk, trip):
    asked = {"room": trip.room_id}

    there = free(at_desk.get("/diary/day/", asked | {"date": f"{monday()}"}))
    after = at_desk.get("/diary/day/", asked | {"date": f"{monday() + DAY}"})

    assert (there[0], there[-1], free(after)) == ("10:00", "16:30", [])
    assert after.context["rows"][0].cells[0].column.note == "nobody is in Harwold"


def test_place_chosen_brings_whoever_goes_there(client, trip, customer, odile):
    client.force_login(odile)

    asked = {"customer": customer.number, "room": trip.room_id}
    page = client.get("/diary/book/", asked)

    assert page.context["form"]["fitter"].value() == trip.fitters.get().pk
    assert [slot.place for slot in page.context["offers"]["slots"]] == ["The Bell, Harwold"] * 3


def test_short_trip_leaves_free_times_in_the_column(at_desk, plan, ansel, front_room):
    plan(opens=datetime.time(14), there=60)

    page = at_desk.get("/diary/day/", {"date": f"{monday()}", "fitter": ansel.pk})

    assert (free(page)[0], free(page)[-1]) == ("09:00", "12:30")


def rooms_shown(client, customer):
    page = client.get(f"/diary/book/?customer={customer.number}")
    return {f"{row}" for row in page.context["form"].fields["room"].queryset}


def test_places_can_be_chosen_while_somebody_goes(at_desk, plan, customer, front_room):
    weekly = plan(repeats="weekly", first=timezone.localdate())
    before = rooms_shown(at_desk, customer)

    values = {"entry_id": str(uuid.uuid4()), "first": f"{weekly.first}", "reason": "Ill"}
    at_desk.post(f"/trips/{weekly.pk}/call-off/", values | {"onwards": "on"})

    assert before == {"The Bell, Harwold", "Front room"}
    assert rooms_shown(at_desk, customer) == {"Front room"}


def test_owner_takes_a_place_into_use_again(trip):
    Room.objects.update(retired=True)

    assert add_room(name="The Bell") == trip.room
    assert not Room.objects.get(pk=trip.room_id).retired


def test_town_of_a_customer_is_kept_on_their_form(at_desk, customer):
    values = {"family_name": "Marrowby", "town": "Harwold", "unit": "", "version": 1}
    at_desk.post(f"/customers/{customer.number}/change/", values)

    customer.refresh_from_db()
    assert customer.town == "Harwold"


@pytest.mark.parametrize(
    ("page", "queries"), [(LIST, 11), ("one", 14), ("/", 23), ("/diary/day/", 21)]
)
@pytest.mark.parametrize("count", [1, 3, 10])
def test_pages_cost_the_same_for_one_trip_and_ten(
    at_desk, plan, fit, *, django_assert_num_queries, page, queries, count
):
    trips = [plan(first=monday() + number * DAY) for number in range(count)]
    for number in range(count):
        coat = GarmentFactory(stage="basted")
        starts = moment(monday(), f"{10 + number // 2}:{number % 2 * 30:02}")
        fit(starts, trips[0].room, customer=coat.customer, garments=[coat])

    with django_assert_num_queries(queries):
        at_desk.get(f"/trips/{trips[0].pk}/" if page == "one" else page)


def test_trip_of_nobody_known_is_not_found(at_desk):
    assert at_desk.get(f"/trips/{uuid.uuid4()}/").status_code == 404


def test_name_of_a_place_is_refused_when_too_long(at_desk, filled):
    answer = at_desk.post(NEW, filled | {"place": "x" * 41})

    assert list(errors_of(answer)) == ["place"]
