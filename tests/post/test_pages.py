"""The pages of the post: shown before sent, worded in the browser, refused beside the field."""

import uuid

import pytest
from django.urls import reverse

from fittings.models import Message, PostRules, Wording
from tests.diary.conftest import errors_of, words
from tests.factories import ConsentFactory, GarmentFactory, MessageFactory
from tests.post.conftest import a_booking, write

pytestmark = pytest.mark.django_db


def writing(booking, kind="confirmation"):
    return reverse("post:booking_write", args=[booking.pk, kind])


def sent(page, **values):
    return {"entry_id": uuid.uuid4(), "shown": page.context["letter"].digest, **values}


def test_message_is_shown_whole_before_it_is_sent(at_desk, booking):
    page = at_desk.get(writing(booking))
    shown = page.context["letter"].words

    at_desk.post(writing(booking), sent(page, way="mail"))

    kept = Message.objects.get()
    assert (kept.subject, kept.body, kept.short) == (shown.subject, shown.body, shown.short)
    assert words(page.content.decode()).count(shown.subject) == 1


def test_message_that_reads_otherwise_by_now_is_shown_again(at_desk, booking):
    page = at_desk.get(writing(booking))
    booking.customer.given_name = "Tobias"
    booking.customer.save()

    answer = at_desk.post(writing(booking), sent(page, way="mail"))

    assert (answer.status_code, Message.objects.count()) == (422, 0)
    assert errors_of(answer) == {
        "__all__": ["It reads otherwise by now: look at it again, then send it."]
    }


@pytest.mark.parametrize("given", [None, False])
def test_message_without_consent_is_refused(at_desk, given):
    coat = GarmentFactory(stage="finished")
    if given is False:
        ConsentFactory(customer=coat.customer, kind="messages", given=False)
    address = reverse("post:ready_write", args=[coat.number])
    page = at_desk.get(address)

    answer = at_desk.post(address, sent(page, way="phone"))

    assert errors_of(answer) == {
        "__all__": [f"{coat.customer} did not agree to messages: ask first."]
    }
    assert (page.context["agreed"], Message.objects.count()) == (given, 0)


@pytest.mark.parametrize(
    ("field", "way", "said"),
    [
        ("email", "mail", "No e-mail address of {} is known."),
        ("phone", "phone", "No telephone number of {} is known."),
    ],
)
def test_message_without_address_is_refused(at_desk, booking, field, way, said):
    setattr(booking.customer, field, "")
    booking.customer.save()

    answer = at_desk.post(writing(booking), sent(at_desk.get(writing(booking)), way=way))

    assert errors_of(answer) == {"__all__": [said.format(booking.customer)]}


@pytest.mark.parametrize(
    ("kind", "days", "state", "said"),
    [
        ("confirmation", 5, "cancelled", "This booking is cancelled: there is no confirmation."),
        ("cancellation", 5, "booked", "This booking is booked: there is no cancellation."),
        ("reminder", -1, "booked", "It has begun already: nothing is sent of it."),
    ],
)
def test_message_that_makes_no_sense_is_refused(at_desk, kind, days, state, said):
    booking = a_booking(days=days, state=state)

    answer = at_desk.post(
        writing(booking, kind), sent(at_desk.get(writing(booking, kind)), way="mail")
    )

    assert errors_of(answer) == {"__all__": [said]}


def test_told_by_phone_is_kept_and_not_mailed(at_desk, booking, desk):
    at_desk.post(writing(booking), sent(at_desk.get(writing(booking)), way="phone"))

    kept = Message.objects.get()
    assert (kept.state, kept.address, kept.by) == ("told", booking.customer.phone, desk)


def test_list_offers_what_there_is_to_tell(at_desk):
    near, far = a_booking(days=1), a_booking(days=6)
    booked = {"what": "booked", "by": near.fitter, "fitter": near.fitter, "room": near.room}
    far.changes.create(**booked, starts_at=far.starts_at, ends_at=far.ends_at)
    coat = GarmentFactory(stage="finished")

    offers = at_desk.get(reverse("post:post_list")).context["offers"]

    assert [(offer.kind, offer.about, offer.agreed) for offer in offers] == [
        ("reminder", near, True),
        ("confirmation", far, True),
        ("ready", coat, None),
    ]


def test_list_offers_nothing_twice(at_desk):
    near = a_booking(days=1)
    write(near, "reminder")
    write(GarmentFactory(customer=near.customer, stage="finished"), "ready")

    assert at_desk.get(reverse("post:post_list")).context["offers"] == []


@pytest.mark.parametrize("count", [1, 3, 10])
def test_list_asks_the_same_queries_for_any_number(at_desk, count, django_assert_num_queries):
    PostRules.get()
    for _ in range(count):
        MessageFactory(booking=a_booking(days=1), state="sent")
        GarmentFactory(stage="finished")

    with django_assert_num_queries(19):
        at_desk.get(reverse("post:post_list"))


@pytest.mark.parametrize("count", [1, 3])
def test_writing_asks_the_same_queries_for_any_number(
    at_desk, booking, count, django_assert_num_queries
):
    for _ in range(count):
        booking.garments.add(GarmentFactory(customer=booking.customer))
        MessageFactory(state="sent")

    with django_assert_num_queries(11):
        at_desk.get(writing(booking))


def test_failed_message_is_put_back_from_its_page(at_desk, booking):
    message = MessageFactory(booking=booking, state="failed", tries=6)

    at_desk.post(reverse("post:message_mark", args=[message.pk]), {"what": "again"})

    message.refresh_from_db()
    assert (message.state, message.tries) == ("waiting", 0)


def test_second_tap_on_try_again_is_told(at_desk, booking):
    message = MessageFactory(booking=booking, state="sent")

    answer = at_desk.post(
        reverse("post:message_mark", args=[message.pk]), {"what": "again"}, follow=True
    )

    assert [str(said) for said in answer.context["messages"]] == [
        "It is not waiting for anybody: load the page again."
    ]


# How the house words its messages


@pytest.fixture
def typed():
    return {
        "entry_id": uuid.uuid4(),
        "seen": 0,
        "subject": "[purpose], [day]",
        "body": "Dear [customer],\r\n\r\nsee you at [time].",
        "short": "[day] [time]",
        "do": "keep",
    }


REMINDER = "/post/wordings/reminder/"


def test_kept_words_are_the_next_messages_words(client, owner, booking, typed):
    client.force_login(owner)
    before = write(booking, "confirmation")

    client.post(REMINDER, typed)

    after = write(booking, "reminder")
    assert (after.body, after.wording, before.wording) == (
        "Dear Mr Tobiah Marrowby,\n\nsee you at 10:00.",
        1,
        0,
    )


@pytest.mark.parametrize("field", ["subject", "body", "short"])
def test_unknown_place_is_refused_beside_its_field(client, owner, typed, field):
    client.force_login(owner)

    answer = client.post(REMINDER, typed | {field: "See [wardrobe]"})

    assert (answer.status_code, Wording.objects.count()) == (422, 0)
    assert errors_of(answer) == {field: ["There is no place “[wardrobe]”: choose one of the list."]}
    assert answer.context["form"][field].value() == "See [wardrobe]"


def test_looking_at_words_keeps_nothing(client, owner, typed):
    client.force_login(owner)

    answer = client.post(REMINDER, typed | {"do": "look"})

    assert answer.context["looked"].body.splitlines()[0] == "Dear Mr Tobiah Marrowby,"
    assert (answer.status_code, Wording.objects.count()) == (200, 0)


def test_code_in_words_is_shown_as_written(client, owner, typed):
    client.force_login(owner)

    answer = client.post(REMINDER, typed | {"body": "{{ 7|add:7 }} <b>", "do": "look"})

    assert answer.context["looked"].body == "{{ 7|add:7 }} <b>"
    assert "{{ 7|add:7 }} &lt;b&gt;</p>" in answer.content.decode()


def test_second_version_strikes_the_first(client, owner, typed):
    client.force_login(owner)
    client.post(REMINDER, typed)
    client.post(REMINDER, typed | {"entry_id": uuid.uuid4(), "seen": 1, "short": "[time]"})

    rows = Wording.objects.order_by("number").values_list("number", "short", "strikes__number")
    assert list(rows) == [(1, "[day] [time]", None), (2, "[time]", 1)]


def test_words_changed_meanwhile_lose_no_typing(client, owner, typed):
    client.force_login(owner)
    client.post(REMINDER, typed)

    answer = client.post(REMINDER, typed | {"entry_id": uuid.uuid4(), "short": "Mine"})

    assert (answer.status_code, Wording.objects.count()) == (409, 1)
    assert [answer.context["form"][name].value() for name in ("short", "seen")] == ["Mine", "1"]


@pytest.mark.parametrize(("days", "kept"), [("0", 2), ("31", 2), ("x", 2), ("7", 7)])
def test_reminder_days_out_of_reason_are_refused(client, owner, days, kept):
    client.force_login(owner)
    rules = {"reminder_days": days, "reminders": "asked", "feed_shows": "initials", "version": 1}

    answer = client.post("/post/rules/", rules)

    assert PostRules.get().reminder_days == kept
    assert answer.status_code == (302 if kept == 7 else 422)
