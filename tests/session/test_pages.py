"""The pages of the fitting room: who is due, and the screen, at a constant number of queries."""

import datetime
import gzip
import re
import uuid
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.utils import timezone

from customers.lengths import Length
from fittings import catalogue
from fittings.models import Fitting
from fittings.session.services import decide_next_step
from garments import cutting
from garments.aiming.services import record_finished_measures
from tests.factories import (
    AlterationFactory,
    BookingFactory,
    ConsentFactory,
    CustomerFactory,
    CutVersionFactory,
    FittingFactory,
    MeasurementSetFactory,
    ObservationFactory,
    UserFactory,
)
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db

FIRST_LOAD = 120 * 1024  # bytes over the wire: the budget of the house's design
A_TAP = 15 * 1024
LIST_QUERIES = 7
SCREEN_QUERIES = 29
TAP_QUERIES = 30


@pytest.fixture
def book(customer, fitter):
    """A booking of today; the hour counts, so that no two of one fitter overlap."""

    def make(hour=9, fitter=fitter, kind="coat", **values):
        garment = garment_of(customer, fitter, kind=kind, stage="basted")
        starts_at = timezone.localtime().replace(hour=hour, minute=0, second=0, microsecond=0)
        usual = {"customer": customer, "garments": [garment], "fitter": fitter}
        return BookingFactory(**(usual | {"starts_at": starts_at} | values))

    return make


@pytest.fixture
def measure_coat(coat, fitter):
    """Measure the coat itself: inches by (point, side)."""

    def make(inches):
        values = {place: Length.inches(text) for place, text in inches.items()}
        record_finished_measures(
            entry_id=uuid.uuid4(), garment=coat, where="body", values=values, by=fitter
        )

    return make


@pytest.fixture
def fill(fitting, coat, fitter):
    """Faults seen in the session, each answered, and as many alterations of last time."""

    def make(count):
        faults = [fault for fault in catalogue.faults("coat") if not fault.sided][:count]
        for fault in faults:
            seen = ObservationFactory(
                fitting=fitting,
                garment=coat,
                zone=fault.zone,
                fault=fault.key,
                amount=Length.inches("0.25"),
                by=fitter,
            )
            seen.alterations.add(AlterationFactory(garment=coat, by=fitter))
            at = timezone.now() - datetime.timedelta(days=9)
            AlterationFactory(garment=coat, by=fitter, at=at)

    return make


@pytest.fixture
def screen(client, fitting):
    return lambda **headers: client.get(f"/fitting/{fitting.pk}/", headers=headers)


@pytest.fixture
def tap(client, fitting, coat):
    """Touch a fault of the shoulder as the page's own script sends it."""

    def send():
        return client.post(
            f"/fitting/{fitting.pk}/{coat.number}/seen/",
            {
                "entry_id": uuid.uuid4(),
                "seen": "shoulder-one-low:L",
                "amount": "1/4 in",
            },
            headers={"HX-Request": "true", "Accept-Encoding": "gzip"},
        )

    return send


def test_due_today_are_those_of_this_fitter(client, book):
    own, other = book(), book(fitter=UserFactory(role="fitter"))

    answer = client.get("/fitting/")

    assert (answer.context["own"], answer.context["others"]) == ([own], [other])


@pytest.mark.parametrize(
    "values",
    [
        {"state": "cancelled"},
        {"state": "missed"},
        {"purpose": "measure"},
        {"starts_at": timezone.now() - datetime.timedelta(days=2)},
    ],
)
def test_not_due_is_not_listed(client, book, values):
    book(**values)

    answer = client.get("/fitting/")

    assert (answer.context["own"], answer.context["others"]) == ([], [])


def test_booking_starts_with_one_tap(client, book):
    booking = book()

    answer = client.post("/fitting/start/", {"booking": booking.pk})

    fitting = Fitting.objects.get()
    assert (answer.status_code, answer.url) == (302, f"/fitting/{fitting.pk}/")
    assert fitting.booking == booking


def test_started_booking_is_still_open_not_due(client, book):
    client.post("/fitting/start/", {"booking": book().pk})

    answer = client.get("/fitting/")

    assert (answer.context["own"], list(answer.context["open_sessions"])) == (
        [],
        list(Fitting.objects.all()),
    )


def test_decided_session_is_open_no_more(client, fitting, coat, fitter):
    decide_next_step(entry_id=uuid.uuid4(), fitting=fitting, garment=coat, step="alter", by=fitter)

    assert list(client.get("/fitting/").context["open_sessions"]) == []


@pytest.mark.parametrize("booking", ["", "no uuid", str(uuid.UUID(int=7))])
def test_unknown_booking_is_not_found(client, fitter, booking):
    assert client.post("/fitting/start/", {"booking": booking}).status_code == 404


def test_lost_booking_says_why(client, book):
    answer = client.post("/fitting/start/", {"booking": book(state="missed").pk})

    assert (answer.status_code, answer.context["refusals"]) == (
        422,
        ["That booking is missed: book again first."],
    )


def test_walk_in_is_shown_garments(client, customer, coat, fitter):
    typed = customer.number.lower().replace("-", " ")

    answer = client.get("/fitting/", {"customer": typed})

    assert answer.context["customer"] == customer
    assert list(answer.context["start"].fields["garments"].queryset) == [coat]


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Write the customer's number."),
        ("C1000-A", "The check character does not fit: look at the number again."),
        ("<script>", "The check character does not fit: look at the number again."),
        ("x" * 1000, "Ensure this value has at most 20 characters (it has 1000)."),
    ],
)
def test_bad_customer_number_is_refused(client, fitter, typed, message):
    answer = client.get("/fitting/", {"customer": typed})

    assert answer.context["asked"].errors["customer"] == [message]


def test_walk_in_starts_with_garments_chosen(client, customer, coat, fitter):
    values = {"customer": customer.number, "garments": [coat.number], "purpose": "first-fitting"}

    client.post("/fitting/start/", values | {"entry_id": uuid.uuid4()})

    fitting = Fitting.objects.get()
    assert (list(fitting.garments.all()), fitting.fitter) == ([coat], fitter)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"garments": []}, "garments"),
        ({"garments": ["G1-0"]}, "garments"),
        ({"garments": ["<script>"]}, "garments"),
        ({"purpose": "tea"}, "purpose"),
        ({"purpose": ""}, "purpose"),
        ({"entry_id": "no uuid"}, "entry_id"),
    ],
)
def test_bad_start_is_refused_beside_its_field(client, coat, fitter, values, field):
    customer = coat.customer.number
    usual = {"customer": customer, "garments": [coat.number], "purpose": "first-fitting"}

    answer = client.post("/fitting/start/", usual | {"entry_id": uuid.uuid4()} | values)

    assert (answer.status_code, list(answer.context["form"].errors)) == (422, [field])
    assert Fitting.objects.count() == 0


def test_other_customers_garment_does_not_start(client, customer, fitter):
    other = garment_of(CustomerFactory(), fitter)
    values = {"customer": customer.number, "garments": [other.number], "purpose": "first-fitting"}

    answer = client.post("/fitting/start/", values | {"entry_id": uuid.uuid4()})

    assert answer.context["form"].errors["garments"] == [
        f"{other.number} is not a garment of this customer."
    ]


@pytest.mark.parametrize("count", [1, 3])
def test_list_asks_a_fixed_number_of_questions(client, book, count, django_assert_num_queries):
    for hour in range(count):
        booking = book(hour=9 + hour)
        FittingFactory(
            customer=booking.customer,
            fitter=booking.fitter,
            started_at=timezone.now(),
            garments=booking.garments.all(),
        )

    with django_assert_num_queries(LIST_QUERIES):
        client.get("/fitting/")


@pytest.mark.parametrize("count", [1, 3, 30])
def test_screen_asks_a_fixed_number_of_questions(screen, fill, count, django_assert_num_queries):
    fill(count)

    with django_assert_num_queries(SCREEN_QUERIES):
        screen()


@pytest.mark.parametrize("count", [1, 3, 30])
def test_screen_of_a_measured_coat_asks_no_more(
    screen, fill, measure_coat, *, count, django_assert_num_queries
):
    fill(1)
    for _ in range(count):
        measure_coat({("sleeve", "L"): "25.125", ("back-length", ""): "30"})

    with django_assert_num_queries(SCREEN_QUERIES):
        screen()


def test_measure_of_the_coat_stands_beside_its_zone(screen, coat, measure_coat):
    data = cutting.data_of(cutting.house_cut("drape", "coat"))
    coat.cut_version = CutVersionFactory(cut__kind="coat", data=data)
    coat.save()
    arm = {("sleeve-to-cuff", "L"): 33, ("half-back", "L"): 7.75}
    MeasurementSetFactory(customer=coat.customer, measures=arm)  # aimed at 24 3/4 in
    measure_coat({("sleeve", "L"): "25.125", ("cuff", ""): "11"})

    page = screen().content.decode()

    beside = dict(
        re.findall(r'id="zone-([a-z-]+)"(?:(?!</section).)*?"measured">(.*?)</p>', page, re.DOTALL)
    )
    assert {zone: re.sub("<[^>]+>", "", said) for zone, said in beside.items()} == {
        "sleeve": "Sleeve, left: 25 1/8 in, 3/8 in over; Cuff: 11 in"
    }
    assert "<!--measured" not in page


@pytest.mark.parametrize("count", [1, 30])
def test_tap_asks_a_fixed_number_of_questions(tap, fill, count, django_assert_num_queries):
    fill(count)

    with django_assert_num_queries(TAP_QUERIES):
        tap()


def test_unknown_session_is_not_found(client, fitter):
    assert client.get(f"/fitting/{uuid.uuid4()}/").status_code == 404


def test_garment_tab_of_another_customer_is_not_found(client, fitting, fitter):
    other = garment_of(CustomerFactory(), fitter)

    answer = client.get(f"/fitting/{fitting.pk}/", {"garment": other.number})

    assert answer.status_code == 404


@pytest.mark.parametrize("kind", ["coat", "overcoat", "waistcoat", "trousers"])
def test_each_kind_has_its_zones_drawn_and_listed(client, customer, fitter, kind):
    garment = garment_of(customer, fitter, kind=kind)
    fitting = FittingFactory(customer=customer, fitter=fitter, garments=[garment])

    page = client.get(f"/fitting/{fitting.pk}/").content.decode()

    keys = {zone.key for zone in catalogue.zones(kind)}
    assert set(re.findall(r'<section id="zone-([\w-]+)"', page)) == keys
    assert set(re.findall(r'id="to-([\w-]+)"', page)) == keys
    assert set(re.findall(r'<g class="zone" data-zone="([\w-]+)"', page)) == keys


@pytest.mark.parametrize(("unit", "key"), [("in", "3/8 in"), ("cm", "0.5 cm")])
def test_amounts_come_in_the_customers_unit(screen, customer, unit, key):
    customer.unit = unit
    customer.save()

    assert f'name="amount" value="{key}"' in screen().content.decode()


def test_last_time_comes_before_the_coat(screen, decided_before):
    page = screen().content.decode()

    assert -1 < page.index('id="last-time"') < page.index('id="garment"')


def test_camera_is_offered_with_consent_only(screen, customer, fitter):
    without = 'id="photograph-form"' in screen().content.decode()
    ConsentFactory(customer=customer, by=fitter)

    assert (without, 'id="photograph-form"' in screen().content.decode()) == (False, True)


def test_refusal_of_photographs_is_said(screen, customer, fitter):
    ConsentFactory(customer=customer, by=fitter, given=False)

    assert "The customer refused photographs on 5 Jan 2026." in screen().content.decode()


def test_page_has_no_style_or_script_of_its_own(screen, see):
    see(amount="3/8")

    page = screen().content.decode()

    assert re.findall(r"<style|style=|<script(?![^>]*src=)|\son\w+=", page) == []


def linked(page):
    """The files a page loads, as they lie: scripts, styles, and the fonts of the styles."""
    found = [Path(finders.find(name)) for name in re.findall(r'/static/([^"?]+)', page)]
    for sheet in [path for path in found if path.suffix == ".css"]:
        urls = re.findall(r'url\("([^"]+)"\)', sheet.read_text())
        found += [(sheet.parent / url).resolve() for url in urls]
    return set(found)


def test_first_load_stays_within_its_weight(screen, fill, measure_coat):
    fill(6)
    measure_coat(
        {(point.key, side): 20 for point in cutting.POINTS["coat"] for side in point.sides}
    )
    answer = screen(**{"Accept-Encoding": "gzip"})

    page = gzip.decompress(answer.content).decode()
    files = linked(page)
    packed = [path for path in files if path.suffix != ".woff2"]
    fonts = files - set(packed)
    weight = len(answer.content) + sum(path.stat().st_size for path in fonts)
    weight += sum(len(gzip.compress(path.read_bytes())) for path in packed)
    assert {path.suffix for path in files} == {".css", ".js", ".woff2", ".svg", ".png"}
    assert weight <= FIRST_LOAD


def test_answer_to_a_tap_stays_within_its_weight(tap, fill):
    fill(12)

    answer = tap()

    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) <= A_TAP


def test_house_unit_is_the_fallback(screen):
    assert screen().context["unit"] == "in"
