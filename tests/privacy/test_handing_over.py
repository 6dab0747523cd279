"""The file handed over holds everything that is held, in words a person reads."""

import datetime
import io
import json
import zipfile
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from PIL import Image

from customers.models import Customer
from fittings.housebook.queries import one_book
from fittings.models import Booking, Photograph, Seen
from fittings.privacy.exporting import sections_of, write_export
from fittings.privacy.holdings import HOLDINGS
from garments.models import Ticket
from tests.factories import CustomerFactory, RemarkFactory, UserFactory
from tests.privacy.person import EMAIL, NAME, PHONE, TEXT, furnish

pytestmark = pytest.mark.django_db


def opened(customer):
    file = io.BytesIO()
    write_export(file, customer, timezone.now())
    return zipfile.ZipFile(file)


def test_file_holds_a_page_data_and_every_photograph(person):
    taken = Photograph.objects.get(deletion=None, void=False)
    day = f"{timezone.localtime(taken.at):%Y-%m-%d}"

    file = opened(person)

    assert sorted(file.namelist()) == ["data.json", "index.html", f"photographs/001-{day}.jpg"]
    picture = file.read(f"photographs/001-{day}.jpg")
    with taken.image.open() as kept:
        assert (picture, Image.open(io.BytesIO(picture)).format) == (kept.read(), "JPEG")


def test_page_holds_every_kind_and_every_text(person):
    page = opened(person).read("index.html").decode()

    for holding in HOLDINGS:
        assert f">{holding.label}</h2>" in page
    texts = sum(holding.worded(person).count() * len(holding.words) for holding in HOLDINGS)
    assert page.count(TEXT) >= texts - 1  # the message's address is the e-mail alone
    assert [
        word for word in (NAME, EMAIL, PHONE, "38", "Stands off the neck") if word not in page
    ] == []


def test_data_is_what_the_page_shows(person):
    data = json.loads(opened(person).read("data.json"))

    consents = [row for row in data["Consents"] if row["Kind"] == "messages about fittings"]
    assert [(row["Given"], row["Given on"], row["Wording"]) for row in consents] == [
        ("yes", "05 January 2026", TEXT)
    ]
    assert [row["As kept"] for row in data["Details"]][:4] == [
        person.number,
        "Sir",
        "Barnabas",
        NAME,
    ]


def test_what_a_row_is_about_is_told_in_words(person):
    """As its own table tells it: no keys, no ids, the house's clock in summer too."""
    booking = Booking.objects.get(customer=person)
    noon = datetime.datetime(2026, 7, 1, 12, tzinfo=ZoneInfo("Europe/London"))
    Booking.objects.update(starts_at=noon, ends_at=noon + datetime.timedelta(hours=1))
    ticket = Ticket.objects.get(garment__customer=person)

    rows = {section.label: section for section in sections_of(person)}

    def told(label, head):
        section = rows[label]
        return {row[section.heads.index(head)] for row in section.rows}

    assert told("Lines of tickets", "Revision") == {f"{ticket.number}, revision 1"}
    assert told("Lines of tickets", "Alteration") == {"Let out side seam: 3/8 in each side"}
    assert told("Calls to make again", "Booking") == {
        f"{booking.get_purpose_display()}, 01 July 2026, 12:00"
    }


def test_file_says_who_has_looked(person, owner):
    Seen.objects.create(by=owner, customer=person.pk, page="folios:customer_folio", mark="1")

    data = json.loads(opened(person).read("data.json"))

    (label,) = (label for label in data if label.startswith("Who has looked"))
    assert [(row["By"], row["Page"]) for row in data[label]] == [
        (owner.get_full_name(), "folios: customer folio")
    ]


def test_nothing_of_another_is_in_the_file(person):
    other = CustomerFactory(given_name="Ottoline", family_name="Threlfall")
    RemarkFactory(text="Said by Threlfall", garment__customer=other, fitting__customer=other)

    assert "Threlfall" not in opened(person).read("index.html").decode()


def test_lost_picture_is_left_out_not_crashed(person):
    taken = Photograph.objects.get(deletion=None, void=False)
    taken.image.storage.delete(taken.image.name)

    assert sorted(opened(person).namelist()) == ["data.json", "index.html"]


def test_erased_persons_file_names_nobody(person, erase):
    erase(person)

    page = opened(Customer.objects.get(pk=person.pk)).read("index.html").decode()

    assert [word for word in (NAME, EMAIL, PHONE) if word in page] == []


def test_file_asks_as_much_for_one_as_for_many(person, owner):
    def asked(customer):
        with CaptureQueriesContext(connection) as queries, one_book():
            list(sections_of(customer))
        return len(queries)

    one = asked(person)
    for _ in range(3):
        RemarkFactory(fitting=person.fittings.get(), garment=person.garments.get(), by=owner)

    assert (one, asked(person)) == (41, 41)


@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("front of house", 403)])
def test_owner_alone_takes_the_file(client, data, role, status):
    owner = UserFactory(role=role)
    person = furnish(owner)
    client.force_login(owner)

    answer = client.get(f"/privacy/of/{person.number}/file/")

    assert answer.status_code == status
    if status == 200:
        day = f"{timezone.localdate():%Y-%m-%d}"
        assert answer["Content-Disposition"] == f'attachment; filename="{person.number}-{day}.zip"'
        assert zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))).testzip() is None
