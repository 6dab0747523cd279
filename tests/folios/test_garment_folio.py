import datetime
import html
import re
import uuid

import pytest
from django.utils import timezone

from customers.lengths import Length
from fittings.folios.history import Record, history_of
from garments import cutting
from garments.aiming.services import record_finished_measures, record_wish
from garments.altering import record_alteration
from garments.models import Garment, StageEntry
from garments.services import take_back_stage
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    MeasurementSetFactory,
    RemakeFactory,
    TicketRevisionFactory,
    UserFactory,
)
from tests.garments.ready import days_ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def tam():
    return UserFactory(role="fitter", first_name="Tam", last_name="Reed")


@pytest.fixture
def aimed(tam):
    """A coat of the drape cut: only its sleeves can be aimed at; both were measured."""
    customer, both = CustomerFactory(), ("L", "R")
    arms = {("sleeve-to-cuff", side): 32 for side in both} | {
        ("half-back", side): 7.5 for side in both
    }
    MeasurementSetFactory(customer=customer, measures=arms)
    data = cutting.data_of(cutting.house_cut("drape", "coat"))
    coat = GarmentFactory(customer=customer, cut_version__data=data)
    what = {"garment": coat, "by": tam}
    record_wish(
        entry_id=uuid.uuid4(),
        point="sleeve",
        amount=Length.inches(-1),
        accepted_by=tam,
        note="As his last",
        **what,
    )
    sleeves = {("sleeve", "L"): Length.inches("24.375"), ("sleeve", "R"): Length.inches("24.25")}
    record_finished_measures(entry_id=uuid.uuid4(), where="body", values=sleeves, **what)
    return coat


def text_of(response):
    """What the page says, without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def told(garment):
    return [
        (event.what, event.text, event.note)
        for event in history_of(Record(garment), "in", lambda _: False)
    ]


def page_of(client, garment):
    return client.get(f"/folio/garments/{garment.number}/")


def test_history_tells_the_whole_life_in_order(ordered, live_once):
    live_once(ordered)

    (ticket,) = ordered.tickets.all()
    due = "due 1 Jan 2100"
    let_out = "Let out side seam: 1/8 in each side"
    assert told(ordered)[1:] == [
        ("Stage", "Ordered", ""),
        ("Inlay", "Normal inlays left in 27 places", ""),
        ("Stage", "Cut", f"From the measures of {days_ago():%d %b %Y}"),
        (
            "Diary",
            told(ordered)[4][1],
            "A cold",
        ),
        ("Stage", "Forward fitting held", ""),
        ("Seen", "Vents: clean", ""),
        ("Seen", "Collar: clean", ""),
        ("Test", "Do the slanting lines clear? Yes", ""),
        ("Cause", "Back balance short taken to be behind it", ""),
        ("Said", "likes it roomy", ""),
        ("Decided", let_out, "Tight"),
        ("Decided", "Take in centre back seam: 1/4 in each side of the seam", ""),
        ("Next step", "Next: alter and look again", ""),
        ("Ticket", f"{ticket} issued, {due}", ""),
        ("Ticket", f"{ticket} changed: revision 2, {due}", "Sooner"),
        ("Workroom", f"{ticket} taken in hand", ""),
        ("Stage", "Being altered", f"Ticket {ticket} in hand"),
        ("Workroom", f"{ticket} done", ""),
        ("Inlay", "Side seam left: 1/8 in let out", ""),
        ("Inlay", "Side seam right: 1/8 in let out", ""),
        ("Stage", "Basted for fitting", f"Ticket {ticket} done"),
        ("Judged", f"Cured: {let_out}", ""),
        ("Inlay", "Hem left: counted, 1/2 in less than entered before", ""),
        ("Stage", "Being altered", "collar cut again: Spoilt"),
        ("Remake", "Collar cut again", "Spoilt"),
        ("Photograph", "Taken", ""),
        ("Stage", "Basted for fitting", ""),
    ]


def test_history_begins_with_what_happened_first(ordered, live_once):
    live_once(ordered)

    # The factory's fitting was on 2 February, before the coat of this test was ordered.
    events = history_of(Record(ordered), "in", lambda _: False)
    assert (events[0].what, events[0].text) == ("Fitting", "First fitting begun")
    assert [event.at for event in events] == sorted(event.at for event in events)


def test_history_says_who_struck_out_and_corrected(ordered, live_once):
    live_once(ordered)

    struck = [e for e in history_of(Record(ordered), "in", lambda _: False) if e.struck]
    assert [(e.text.split(":")[0], e.struck.rpartition(", ")[0][:-13]) for e in struck] == [
        ("Vents", "corrected by Ansel Wren"),
        ("Take in centre back seam", "struck out by Ansel Wren"),
        (f"{ordered.tickets.get()} issued, due 1 Jan 2100", "corrected by Ansel Wren"),
    ]


def test_history_tells_a_stage_taken_back_once(ordered):
    take_back_stage(entry_id=uuid.uuid4(), garment=ordered, by=UserFactory(first_name="Nell"))

    events = history_of(Record(ordered), "in", lambda _: False)
    cut = [event for event in events if event.text == "Cut"]
    assert [event.struck.startswith("struck out by Nell") for event in cut] == [True]


def test_history_lists_a_remake_on_both_garments():
    remake = RemakeFactory(reason="Too small")

    assert told(remake.replaces) == [("Remake", f"Replaced by {remake.garment}", "Too small")]
    assert told(remake.garment) == [("Remake", f"Made in place of {remake.replaces}", "Too small")]


def test_history_reads_in_centimetres_for_such_a_house(ordered, live_once):
    live_once(ordered)

    events = history_of(Record(ordered), "cm", lambda _: False)
    assert "Let out side seam: 0.32 cm each side" in [event.text for event in events]


def test_history_tells_wishes_and_measures(aimed):
    assert told(aimed)[-3:] == [
        ("Wish", "More linen, 1 in, accepted by Tam Reed", "As his last"),
        ("Measured", "Sleeve, left: 24 3/8 in on the customer", ""),
        ("Measured", "Sleeve, right: 24 1/4 in on the customer", ""),
    ]


def test_garment_page_shows_targets_with_their_reasons(client, sign_in, aimed):
    sign_in("workroom")

    page = text_of(page_of(client, aimed))

    assert "Sleeve, left 23 in 24 3/8 in 1 3/8 in over" in page
    assert "Sleeve to cuff, left 32 in - half back, left 7 1/2 in" in page
    assert "- wish (more linen) 1 in. From 22 3/4 to 23 1/4 in." in page
    assert "Chest is not taken: no target for chest." in page


def test_wish_that_waits_for_a_name_is_shown(client, sign_in, aimed, tam):
    sign_in("front of house")
    record_wish(
        entry_id=uuid.uuid4(), garment=aimed, point="sleeve", amount=Length.inches(-2), by=tam
    )

    page = text_of(page_of(client, aimed))

    assert "Wish: More linen, 2 in against the house's standard: needs a name" in page
    assert "Sleeve, left 24 in 24 3/8 in 3/8 in over" in page


@pytest.mark.parametrize("rounds", [1, 8])  # an eighth each, of an inlay of an inch
def test_history_takes_twenty_one_queries(ordered, live_once, django_assert_num_queries, rounds):
    for _ in range(rounds):
        live_once(ordered)

    with django_assert_num_queries(21):
        events = history_of(Record(ordered), "in", lambda _: False)

    assert len(events) == 3 + 25 * rounds


@pytest.mark.parametrize("rounds", [1, 8])  # an eighth each, of an inlay of an inch
def test_garment_page_asks_the_same_queries(
    client, sign_in, ordered, *, live_once, django_assert_num_queries, rounds
):
    sign_in("owner")
    for _ in range(rounds):
        live_once(ordered)

    # session, user, roles, garment, house, tickets, untold alterations, bookings, measures since
    # the cut, the record (nineteen kinds of entries and the people's names), and what it is aimed
    # at: wishes, measures of the customer and of the garment; the house's catalogue
    with django_assert_num_queries(33):
        page_of(client, ordered)


@pytest.mark.parametrize("role", ["front of house", "fitter", "workroom", "owner"])
def test_garment_page_hides_how_to_reach_the_customer(client, sign_in, role):
    sign_in(role)
    coat = GarmentFactory(
        customer=CustomerFactory(phone="01632 960 777", email="tobiah@example.test")
    )

    page = page_of(client, coat).content.decode()

    assert page.count(coat.customer.name) > 0
    assert (page.count("960 777"), page.count("tobiah@example.test")) == (0, 0)


@pytest.mark.parametrize(("role", "links"), [("workroom", 0), ("fitter", 1)])
def test_garment_page_leads_to_the_customer_if_allowed(client, sign_in, role, links):
    sign_in(role)
    coat = GarmentFactory()

    page = page_of(client, coat).content.decode()

    assert page.count(f'href="/folio/customers/{coat.customer.number}/"') == links


@pytest.mark.parametrize(
    ("role", "stage", "offered"),
    [
        ("workroom", "cut", ["basted", "altering", "finishing", "finished"]),
        ("fitter", "delivered", ["returned"]),
        ("owner", "remade", []),
        ("front of house", "cut", []),
    ],
)
def test_garment_page_offers_the_next_stages(client, sign_in, role, stage, offered):
    sign_in(role)

    assert page_of(client, GarmentFactory(stage=stage)).context["next_stages"] == offered


def test_garment_page_button_enters_the_stage(client, sign_in):
    sign_in("workroom")
    coat = GarmentFactory(stage="cut")
    form = page_of(client, coat).context["form"]

    client.post(
        f"/garments/{coat.number}/stage/",
        {"entry_id": str(form["entry_id"].value()), "stage": "basted"},
    )

    assert (Garment.objects.get().stage, StageEntry.objects.get().stage) == ("basted", "basted")


@pytest.mark.parametrize(
    ("days", "stage", "said", "late"),
    [
        (-3, "altering", "3 days late", True),
        (-1, "altering", "1 day late", True),
        (0, "altering", "today", False),
        (1, "altering", "tomorrow", False),
        (14, "altering", "in 14 days", False),
        (15, "altering", "", False),
        (-3, "delivered", "", False),
    ],
)
def test_garment_page_says_late_in_words(client, sign_in, *, days, stage, said, late):
    sign_in("owner")
    day = timezone.localdate() + datetime.timedelta(days=days)

    line = page_of(client, GarmentFactory(promised_on=day, stage=stage)).context["line"]

    assert (line.promise, line.late) == (f"{day:%-d %B %Y}" + (said and f", {said}"), late)


def test_garment_page_without_a_promise_says_so(client, sign_in):
    sign_in("owner")

    line = page_of(client, GarmentFactory(promised_on=None)).context["line"]

    assert (line.promise, line.late) == ("no day promised", False)


def test_garment_page_shows_the_inlays_by_side(client, sign_in, ordered, live_once):
    sign_in("workroom")
    live_once(ordered)

    inlays = page_of(client, ordered).context["inlays"]

    told = {seam.key: [(place.side, place.told) for place in places] for seam, places in inlays}
    assert told["side-seam"] == [("L", "7/8 in (1/2 in)"), ("R", "7/8 in (1/2 in)")]
    assert told["centre-back"] == [("", "3/4 in (1/2 in)")]


def test_garment_page_shows_its_tickets_newest_first(client, sign_in, ordered, live_once):
    sign_in("workroom")
    live_once(ordered)
    # A revision without a line that stands is withdrawn.
    second = TicketRevisionFactory(ticket__garment=ordered, ticket__serial=9000).ticket

    tickets = page_of(client, ordered).context["tickets"]

    assert [(line.number, line.revision, line.state) for line in tickets] == [
        (second.number, 1, "withdrawn"),
        (ordered.tickets.exclude(pk=second.pk).get().number, 2, "done"),
    ]


def test_garment_page_tells_alterations_on_no_ticket(client, sign_in, ordered, people):
    sign_in("fitter")
    record_alteration(
        entry_id=uuid.uuid4(),
        by=people["fitter"],
        garment=ordered,
        operation="let-out",
        seam="side-seam",
        side="L",
        amount=Length.inches("0.375"),
    )

    context = page_of(client, ordered).context

    assert context["untold"] == ["Let out side seam: 3/8 in each side of the seam, left only"]


def test_garment_page_shows_what_is_booked(client, sign_in):
    sign_in("workroom")
    coat = GarmentFactory()
    later = timezone.now() + datetime.timedelta(days=2)
    coming = BookingFactory(garments=[coat], starts_at=later)
    BookingFactory(garments=[coat], starts_at=later, state="cancelled")
    BookingFactory(garments=[coat], starts_at=timezone.now() - datetime.timedelta(days=2))

    assert list(page_of(client, coat).context["to_come"]) == [coming]


def test_garment_page_of_an_unknown_number_is_not_found(client, sign_in):
    sign_in("workroom")

    assert client.get("/folio/garments/G9999-X/").status_code == 404


def changed_on_page(client, garment, name="changed"):
    return page_of(client, garment).context[name]


def cut_then_measured(kind="coat", stage="ordered", **since):
    """A garment cut from measures of January, whose customer was measured again in June."""
    was = {"waist": 33, "chest": 38, "seat": 39, "thigh": 22, "knee": 18}
    customer = CustomerFactory()
    cut_from, _ = (
        MeasurementSetFactory(
            customer=customer,
            taken_on=datetime.date(2026, month, 5),
            measures={(point, ""): value for point, value in values.items()},
        )
        for month, values in ((1, was), (6, since))
    )
    return GarmentFactory(customer=customer, kind=kind, stage=stage, measurement_set=cut_from)


@pytest.mark.parametrize(
    ("kind", "stage", "since", "told"),
    [
        ("coat", "cut", {"waist": 34, "chest": 38.375}, [("Waist", "+1 in (± 3/8 in)")]),
        ("coat", "cut", {"waist": 33.375, "chest": 37.625}, []),
        ("coat", "cut", {"thigh": 24}, []),
        ("trousers", "cut", {"thigh": 24, "knee": 20}, [("Thigh", "+2 in (± 3/8 in)")]),
        ("coat", "delivered", {"waist": 36}, []),
        ("coat", "remade", {"waist": 36}, []),
    ],
)
def test_garment_in_work_tells_changed_points(client, sign_in, *, kind, stage, since, told):
    sign_in("workroom")

    assert changed_on_page(client, cut_then_measured(kind, stage, **since)) == told


def test_garment_cut_from_no_measures_tells_nothing(client, sign_in):
    sign_in("owner")

    assert changed_on_page(client, GarmentFactory()) == []


def test_earlier_measures_flag_no_garment(client, sign_in):
    sign_in("owner")
    coat = cut_then_measured(waist=36)
    coat.measurement_set = coat.customer.measurement_sets.latest("taken_on")
    coat.save()

    assert changed_on_page(client, coat) == []


def test_corrected_measures_flag_no_garment(client, sign_in):
    sign_in("owner")
    coat = cut_then_measured(waist=43)
    wrong = coat.customer.measurement_sets.latest("taken_on")
    right = {("waist", ""): 33}
    on = {"customer": coat.customer, "taken_on": wrong.taken_on, "strikes": wrong}
    MeasurementSetFactory(measures=right, **on)

    assert changed_on_page(client, coat) == []
