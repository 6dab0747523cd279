"""Erased is erased: in every column of every table, the file's own bytes, the disk and the log.

What "found nowhere" means is asked of the database's own catalogue of tables and columns, so that
a new table cannot be forgotten.
"""

import datetime
import logging
import re
import uuid
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core import signing
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db import IntegrityError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.models import Consent, Customer
from fittings.models import Booking, Erasure, Message, Observation, Photograph, Remark, Waiting
from fittings.privacy import holdings, mentions, sweeping, way_past
from fittings.review.measures import MEASURES, RATES
from tests.factories import (
    BookingFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    MessageFactory,
    RemarkFactory,
    UserFactory,
)
from tests.privacy.person import EMAIL, FIRST, NAME, PHONE, TEXT, erase_now, furnish

TRACES = (NAME.lower(), FIRST.lower(), EMAIL, PHONE, PHONE.replace(" ", ""))
# Tables that hold no customer's things, each for its reason; the rest must be in HOLDINGS.
NOBODYS = {
    "customers_house",
    "customers_customer",  # the person itself
    "garments_cut",
    "garments_cutversion",
    "garments_benchhours",
    "fittings_room",
    "fittings_catalogueentry",
    "fittings_lessons",
    "fittings_openinghours",
    "fittings_closure",
    "fittings_absence",
    "fittings_holidayrule",
    "fittings_maker",
    "fittings_stagetime",
    "fittings_agreedovertime",
    "fittings_postrules",
    "fittings_wording",
    "fittings_feedkey",
    "fittings_ownerletter",
    "fittings_import",  # the list's name and counts
    "fittings_brought",  # numbers
    "fittings_upload",  # thrown away whole (sweeping)
    "fittings_uploadrow",
    "fittings_recount",  # keys
    "fittings_garmentcount",
    "fittings_stagecount",
    "fittings_countmark",
    "fittings_monthmark",
    "fittings_signinrules",
    "fittings_personchange",  # of the house's own people
    "fittings_sharedtablet",
    "fittings_pin",
    "fittings_secondfactor",
    "fittings_papercode",
    "fittings_try",
    "fittings_alterationcount",
    "fittings_seencount",
    "fittings_faultcount",
    "fittings_erasure",
    "fittings_redacted",
    "fittings_retentionrule",
    "fittings_trip",
    "fittings_tripcalledoff",
    "fittings_seen",  # keys; shown with the customer
}


def everything():
    """Every row of every table as the database gives it, as one text in small letters."""
    with connection.cursor() as cursor:
        held = []
        for table in connection.introspection.table_names():
            cursor.execute(f'SELECT * FROM "{table}"')
            held += [(table, repr(row).lower()) for row in cursor.fetchall()]
    return held


def found(rows):
    return sorted({table for table, text in rows for trace in TRACES if trace in text})


def test_scene_names_the_person_in_every_text(person):
    """Else the next test would find nothing because there was nothing."""
    named = {holding.table for holding in holdings.HOLDINGS if holding.words}

    assert named <= set(found(everything()))
    assert all(holding.of(person).exists() for holding in holdings.HOLDINGS)


@pytest.mark.usefixtures("either_database")
def test_erased_person_is_found_nowhere(data, caplog):
    caplog.set_level(logging.DEBUG)
    owner = UserFactory(role="owner")
    customer = furnish(owner)

    erase_now(customer, owner)

    assert found(everything()) == []
    assert [path for path in Path(default_storage.path("")).rglob("*") if path.is_file()] == []
    assert [trace for trace in TRACES if trace in caplog.text.lower()] == []
    assert f"customer {customer.number} erased" in caplog.text


def test_bytes_of_the_file_hold_nobody_either(sqlite_database, data):
    owner = UserFactory(role="owner")
    customer = furnish(owner)
    # What stood there before the last change of name lies in freed space, were it not cleared.
    Customer.objects.filter(pk=customer.pk).update(notes="Quillfeather " * 400)
    path = Path(connection.settings_dict["NAME"])
    assert NAME.encode() in path.read_bytes()

    erase_now(customer, owner)

    connection.close()
    raw = b"".join(file.read_bytes() for file in path.parent.glob(f"{path.name}*"))
    assert [trace for trace in TRACES if trace.encode() in raw.lower()] == []
    assert not sweeping.is_wanted()


def test_erased_person_is_not_found_by_searching(person, erase):
    erase(person)

    texts = (NAME, FIRST, PHONE, "erased", f"{FIRST} {NAME}")
    assert [Customer.objects.matching(text).count() for text in texts] == [0] * 5
    assert Customer.objects.matching(person.number).get().name == "(erased)"


def test_session_that_cannot_be_read_goes_too(person, erase):
    """A copy brought back under a new key holds such, with whatever was said in them."""
    Session.objects.create(
        session_key="of another key",
        session_data=signing.dumps({"said": NAME}, key="x" * 50, compress=True),
        expire_date=timezone.now() + datetime.timedelta(days=1),
    )

    erase(person)

    assert Session.objects.filter(session_key="of another key").exists() is False


def test_every_table_is_held_or_nobodys():
    held = {holding.table for holding in holdings.HOLDINGS}
    models = {
        model._meta.db_table
        for app in mentions.APPS
        for model in apps.get_app_config(app).get_models()
    }

    assert held | NOBODYS == models
    assert held & NOBODYS == set()


def test_every_free_text_held_is_emptied_or_named_here():
    """What people can write into goes; these are words of the program, keys and numbers."""
    kept = {
        "Changed.about",
        "Changed.columns",
        "ReadingConfirmed.question",
        "PassedLine.line",
        "PassedLine.told",
        "Garment.cloth",  # goes where it names the person
        "Remake.piece",
        "Message.occasion",
        "CauseTaken.catalogue",
        "SpotAnswer.test",
    }
    keys = {"point", "seam", "operation", "cause", "zone", "fault", "side", "kind"}

    texts = {
        f"{row.model.__name__}.{column}"
        for row in holdings.HOLDINGS
        for column in mentions.free_texts(row.model)
        if column not in row.words and column not in keys
    }
    assert texts == kept


def test_guards_know_the_words_that_go():
    guarded = {
        row.table: row.words
        for row in holdings.HOLDINGS
        if row.words and (issubclass(row.model, LedgerEntry) or row.table.endswith("messageevent"))
    }

    assert guarded == way_past.WORDS


@pytest.mark.usefixtures("either_database")
def test_way_past_the_guard_is_no_wider_than_the_erasure(data):
    owner = UserFactory(role="owner")
    customer = furnish(owner)
    other = RemarkFactory(text="Likes it roomy")
    erase_now(customer, owner)
    mine = Remark.objects.exclude(pk=other.pk)

    for rows, values in (
        (mine, {"text": "Something else"}),
        (mine, {"text": way_past.ERASED, "at": timezone.now()}),
        (Remark.objects.filter(pk=other.pk), {"text": way_past.ERASED}),
    ):
        with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
            rows.update(**values)
    for rows in (Erasure.objects.all(), mine, Photograph.objects.all()):
        with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
            rows._raw_delete(rows.db)


def test_erasure_leaves_its_own_entry(person, owner, erase):
    erasure = erase(person, reason="mistake")

    person.refresh_from_db()
    assert (erasure.by, erasure.customer, erasure.reason) == (owner, person, "mistake")
    assert (person.erased_at, person.number) == (erasure.at, erasure.customer.number)
    assert Observation.objects.get(fault="collar-stands-off").note == way_past.ERASED


def test_every_figure_of_the_house_stays_to_the_last_digit(client, owner, person, erase):
    client.force_login(owner)
    for number in range(2):
        furnish(owner, name=f"{NAME}{number}")
    before = figures(client)

    erase(person)

    assert figures(client) == before
    assert sum(text.count("of 3") for text in before.values()) > 3


def figures(client):
    """The pages the owner reads rates from, without what differs at each asking."""
    since = f"?since=2020-01-01&until={timezone.localdate()}"
    pages = {
        reverse("review:review_page") + since,
        reverse("review:why_page") + since,
        reverse("review:repeat_page"),
        reverse("lessons:lesson_list"),
        *(reverse("review:closer_page", args=[measure.key]) + since for measure in RATES),
        *(reverse("review:review_csv", args=[measure.key]) + since for measure in MEASURES),
    }
    return {
        page: re.sub(r'value="[\w-]{36,64}"', "", shown(client.get(page, follow=True)))
        for page in pages
    }


def shown(answer):
    assert answer.status_code == 200
    return answer.content.decode().partition("<main")[2] or answer.content.decode()


def test_same_erasure_sent_twice_is_one(person, erase):
    entry_id = uuid.uuid4()

    assert erase(person, entry_id=entry_id) == erase(person, entry_id=entry_id)
    assert Erasure.objects.count() == 1


def test_person_is_erased_only_once(person, erase):
    erase(person)

    with pytest.raises(ValidationError, match="erased already"):
        erase(person)


@pytest.mark.parametrize("typed", ["", "C1-0", "Quillfeather"])
def test_another_number_typed_erases_nobody(person, erase, typed):
    with pytest.raises(ValidationError) as refusal:
        erase(person, typed=typed)

    assert list(refusal.value.message_dict) == ["typed"]
    assert Erasure.objects.count() == 0


def test_number_may_be_typed_loosely(person, erase):
    assert erase(person, typed=f" {person.number.lower().replace('-', ' ')} ").customer == person


def test_work_stands_in_the_way(person, erase):
    coat = GarmentFactory(customer=person, stage="basted")
    FittingFactory(customer=person, garments=[coat])
    MessageFactory(booking__customer=person, state="sending")

    with pytest.raises(ValidationError) as refusal:
        erase(person)

    assert refusal.value.messages == [
        f"Coat {coat.number} is in work: basted for fitting.",
        "The fitting begun on 02 February 2026 is not closed.",
        "A message is being sent just now: try again in a moment.",
    ]


def test_what_is_open_is_refused_until_let_go(person, erase):
    with pytest.raises(ValidationError) as refusal:
        erase(person, close_open=False)

    assert list(refusal.value.message_dict) == ["close_open"]
    assert Customer.objects.get(pk=person.pk).family_name == NAME


def test_what_is_open_is_let_go_with_the_person(person, erase):
    soon = timezone.now() + timezone.timedelta(days=3)
    booking = BookingFactory(customer=person, starts_at=soon)
    letter = MessageFactory(booking=booking)

    erase(person)

    states = (Booking.objects.get(pk=booking.pk).state, Message.objects.get(pk=letter.pk).state)
    assert states == ("cancelled", "held")
    assert not Waiting.objects.standing().filter(customer=person).exists()


def test_other_people_are_left_alone(person, erase):
    other = CustomerFactory(given_name=FIRST, family_name="Other", notes="Brother of the first")

    erase(person)

    other.refresh_from_db()
    assert (other.name, other.notes) == (f"{FIRST} Other", "Brother of the first")


def test_texts_about_others_are_told_beforehand(person):
    CustomerFactory(notes=f"Sent by {FIRST} {NAME}")

    told = {(row.what, row.count) for row in mentions.mentions_of(person)}

    assert told == {("customers", 1)}


def test_disk_that_refuses_leaves_the_person_whole(person, erase, monkeypatch):
    def refuse(*_):
        raise OSError("read-only")

    monkeypatch.setattr(type(default_storage._wrapped), "delete", refuse)

    with pytest.raises(ValidationError, match="disk"):
        erase(person)

    assert Customer.objects.get(pk=person.pk).family_name == NAME
    assert Consent.objects.filter(wording=TEXT).count() == 2
