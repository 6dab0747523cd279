"""Secret addresses: what they show, to whom, and that they equal the table whatever happens."""

import random
import uuid

import icalendar
import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse

from fittings.diary.services import SlotTakenError, cancel_booking
from fittings.feeds.services import revoke_feed
from fittings.models import Booking, FeedKey, PostRules
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    GarmentFactory,
    RoomFactory,
    UserFactory,
)
from tests.feeds.changing import (
    QUARTER,
    address_for,
    do_something,
    events,
    in_feed,
    in_table,
    tomorrow,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    return UserFactory(role="owner", first_name="Hester", last_name="Quill")


@pytest.fixture
def fitter():
    return UserFactory(role="fitter", first_name="Ansel", last_name="Wren")


@pytest.fixture
def booking(fitter):
    customer = CustomerFactory(given_name="Tobiah", family_name="Marrowby", phone="01632 960 101")
    coat = GarmentFactory(customer=customer)
    return BookingFactory(
        customer=customer, garments=[coat], fitter=fitter, starts_at=tomorrow(), note="Hates pins"
    )


def test_feed_shows_initials_and_number_and_no_more(client, fitter, booking):
    body = client.get(address_for(fitter, fitter)).content.decode()
    (event,) = icalendar.Calendar.from_ical(body).walk("VEVENT")

    assert str(event["summary"]) == f"First fitting: T.M. {booking.customer.number}"
    said = [word for word in ("Tobiah", "Marrowby", "01632", "pins") if word in body]
    assert said == []


@pytest.mark.parametrize(
    ("shows", "said"),
    [("number", "First fitting: {0.number}"), ("name", "First fitting: {0.name} {0.number}")],
)
def test_feed_names_customers_as_the_house_allows(client, fitter, booking, shows, said):
    rules = PostRules.get()
    rules.feed_shows = shows
    rules.save()

    (event,) = events(client, address_for(fitter, fitter)).values()

    assert str(event["summary"]) == said.format(booking.customer)


def test_room_feed_says_who_fits(client, owner, booking):
    (event,) = events(client, address_for(booking.room, owner)).values()

    garment = booking.garments.get()
    assert str(event["description"]) == f"Ansel Wren\ncoat {garment.number}"


def test_feed_is_kept_by_no_cache_and_no_search_engine(client, fitter):
    answer = client.get(address_for(fitter, fitter))

    heads = ("Content-Type", "Cache-Control", "X-Robots-Tag", "Referrer-Policy")
    assert [answer[head] for head in heads] == [
        "text/calendar; charset=utf-8",
        "private, no-store",
        "noindex, nofollow",
        "no-referrer",
    ]
    assert answer.cookies == {}


def test_unchanged_feed_is_not_sent_again(client, fitter, booking):
    """RFC 9110, 13.1.2: If-None-Match with the current tag is answered 304, without a body."""
    address = address_for(fitter, fitter)
    tag = client.get(address)["ETag"]

    same = client.get(address, headers={"If-None-Match": tag})
    cancel_booking(entry_id=uuid.uuid4(), booking=booking, reason="Rain", by=fitter)
    other = client.get(address, headers={"If-None-Match": tag})

    assert (same.status_code, same.content, same["Cache-Control"]) == (
        304,
        b"",
        "private, no-store",
    )
    assert (other.status_code, other["ETag"] != tag) == (200, True)


def everything(answer):
    return answer.status_code, answer.content, sorted(answer.headers.items())


def test_guessed_ended_and_foreign_tokens_are_answered_alike(client, fitter, booking):
    first = address_for(fitter, fitter)
    second = address_for(fitter, fitter)
    revoke_feed(entry_id=uuid.uuid4(), whose=fitter, by=fitter)
    gone = UserFactory(role="fitter")
    theirs = address_for(gone, gone)
    gone.is_active = False
    gone.save()
    wrong = ["x", "A" * 43, "A" * 5000, "%00", FeedKey.objects.first().digest]

    answers = [everything(client.get(at)) for at in (first, second, theirs)]
    answers += [everything(client.get(f"/calendar/{token}.ics")) for token in wrong]

    assert [answer for answer in answers if answer != answers[0]] == []
    assert answers[0][:2] == (404, b"No such calendar.")


def test_token_is_kept_as_hash_alone(client, fitter):
    client.force_login(fitter)
    client.post(renewing(fitter), {"entry_id": uuid.uuid4()})
    shown = client.get(reverse("feeds:feed_list")).context["fresh"]
    token = shown.rpartition("/")[2].removesuffix(".ics")

    kept = str(FeedKey.objects.values().get()) + str(Session.objects.get().get_decoded())

    assert len(token) == 43
    assert token not in kept
    assert client.get(f"/calendar/{token}.ics").status_code == 200


def test_address_is_shown_only_once(client, fitter):
    client.force_login(fitter)
    client.post(renewing(fitter), {"entry_id": uuid.uuid4()})

    shown = [client.get(reverse("feeds:feed_list")).context["fresh"] is None for _ in range(2)]

    assert shown == [False, True]


def renewing(person):
    return reverse("feeds:feed_renew", args=["fitter", person.pk])


def test_renewed_address_ends_the_old_one(client, fitter):
    old, new = address_for(fitter, fitter), address_for(fitter, fitter)

    assert [client.get(at).status_code for at in (old, new)] == [404, 200]


def test_fitter_gives_out_no_calendar_but_their_own(client, fitter, owner):
    client.force_login(fitter)
    room = RoomFactory()
    others = [("fitter", owner.pk), ("room", room.pk), ("cape", fitter.pk), ("fitter", 10**30)]

    codes = [
        client.post(reverse("feeds:feed_renew", args=where), {"entry_id": uuid.uuid4()}).status_code
        for where in others
    ]

    assert codes == [404] * 4
    assert FeedKey.objects.count() == 0


def test_owner_takes_back_any_calendar(client, owner, fitter):
    address = address_for(fitter, fitter)
    client.force_login(owner)

    client.post(
        reverse("feeds:feed_revoke", args=["fitter", fitter.pk]), {"entry_id": uuid.uuid4()}
    )

    assert client.get(address).status_code == 404
    assert list(FeedKey.objects.values_list("void", "by")) == [(False, fitter.pk), (True, owner.pk)]


def test_taking_back_what_is_not_there_is_told(client, owner):
    client.force_login(owner)
    where = reverse("feeds:feed_revoke", args=["fitter", owner.pk])

    answer = client.post(where, {"entry_id": uuid.uuid4()}, follow=True)

    assert [str(said) for said in answer.context["messages"]] == ["This calendar has no address."]


@pytest.mark.parametrize("count", [1, 3, 10])
def test_feed_asks_the_same_queries_for_any_number(
    client, fitter, count, django_assert_num_queries
):
    for hour in range(count):
        BookingFactory(
            fitter=fitter, garments=[GarmentFactory()], starts_at=tomorrow(8) + hour * 2 * QUARTER
        )
    address = address_for(fitter, fitter)
    PostRules.get()

    with django_assert_num_queries(4):
        client.get(address)


@pytest.mark.parametrize("count", [1, 3])
def test_list_asks_the_same_queries_for_any_number(client, owner, count, django_assert_num_queries):
    for person in UserFactory.create_batch(count, role="fitter"):
        address_for(person, owner)
    RoomFactory.create_batch(count)
    client.force_login(owner)

    with django_assert_num_queries(7):
        client.get(reverse("feeds:feed_list"))


def test_feeds_equal_the_table_after_every_change(client, fitter, owner):
    dice = random.Random(6)
    desk, fitters, rooms = UserFactory(), [fitter, owner], RoomFactory.create_batch(2)
    feeds = [({"fitter": row}, address_for(row, owner)) for row in fitters]
    feeds += [({"room": row}, address_for(row, owner)) for row in rooms]
    highest, wrong, refused = {}, [], 0
    for _ in range(40):
        try:
            do_something(dice, fitters, rooms, desk)
        except SlotTakenError:
            refused += 1
        for whose, address in feeds:
            found = in_feed(client, address)
            wrong += [address] if found != in_table(whose) else []
            for uid, (sequence, *_) in found.items():
                wrong += [uid] if sequence < highest.get(uid, 0) else []
                highest[uid] = sequence

    assert wrong == []
    assert (refused > 2, Booking.objects.filter(state="cancelled").count() > 3) == (True, True)
