"""Who looked at whom is kept: once an hour, refusals too, never in the way, and for a year."""

import datetime

import pytest
from django.conf import settings as project
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fittings.models import Seen
from fittings.privacy import watching
from fittings.privacy.keeping import SEEN_DAYS, forget_seen
from tests.config.test_access import ALL
from tests.factories import BookingFactory, CustomerFactory, GarmentFactory, UserFactory

pytestmark = pytest.mark.django_db
WATCHING = "fittings.privacy.watching.SeenMiddleware"


@pytest.fixture
def watched(settings):
    """As a house runs: conftest leaves the middleware out of all other tests."""
    place = project.MIDDLEWARE.index("fittings.config.access.RoleMiddleware")
    settings.MIDDLEWARE = [*project.MIDDLEWARE[:place], WATCHING, *project.MIDDLEWARE[place:]]


@pytest.fixture
def fitter(client, watched):
    person = UserFactory(role="fitter")
    client.force_login(person)
    return person


def kept():
    return list(Seen.objects.order_by("pk").values_list("by", "customer", "page", "refused"))


def test_page_of_a_customer_is_kept_with_who_opened_it(client, fitter):
    customer = CustomerFactory()

    client.get(customer.get_absolute_url())

    assert kept() == [(fitter.pk, customer.pk, "folios:customer_folio", False)]


def test_same_page_within_the_hour_is_kept_once(client, fitter, watched):
    customer = CustomerFactory()
    for _ in range(2):
        client.get(customer.get_absolute_url())
    # Another process, which has nothing in mind.
    client.handler.load_middleware()
    client.get(customer.get_absolute_url())

    assert len(kept()) == 1


def test_refused_page_is_kept_as_refused(client, fitter):
    customer = CustomerFactory()

    assert client.get(f"/privacy/of/{customer.number}/").status_code == 403
    assert kept() == [(fitter.pk, customer.pk, "privacy:customer_held", True)]


@pytest.mark.parametrize("thing", ["garment", "booking"])
def test_customer_is_found_behind_what_is_opened(client, fitter, thing):
    row = {"garment": GarmentFactory, "booking": BookingFactory}[thing]()

    client.get(row.get_absolute_url())

    assert [customer for _, customer, _, _ in kept()] == [row.customer.pk]


def test_list_of_many_is_kept_without_a_customer(client, fitter):
    client.get("/customers/", {"q": "Marrow"})

    assert kept() == [(fitter.pk, None, "customers:customer_find", False)]


def test_what_shows_nobody_is_not_kept(client, fitter):
    client.get("/catalogue/")
    client.get("/folio/customers/C1-0/")
    client.get("/people/password/")

    assert kept() == []


def test_look_costs_the_page_one_row_and_then_nothing(client, fitter):
    address = CustomerFactory().get_absolute_url()
    client.get("/customers/")  # the first look of a day lets go of old ones
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as queries:
            client.get(address)
        counts.append(sum("fittings_seen" in query["sql"] for query in queries))

    assert counts == [1, 0]


def test_page_is_shown_though_the_look_is_not_kept(client, fitter, monkeypatch, caplog):
    def busy(*_, **__):
        raise DatabaseError("database is locked")

    monkeypatch.setattr(watching, "_keep", busy)
    customer = CustomerFactory()

    assert client.get(customer.get_absolute_url()).status_code == 200
    assert f"not kept: page=folios:customer_folio user={fitter.pk}" in caplog.text


def test_looks_go_after_a_year_and_not_before(fitter):
    now = timezone.now()
    for days in (SEEN_DAYS + 1, SEEN_DAYS - 10, 0):
        at = now - datetime.timedelta(days=days)
        Seen.objects.create(by=fitter, at=at, page="diary:today", mark=str(days))

    assert (forget_seen(now), Seen.objects.count()) == (1, 2)
    with pytest.raises(IntegrityError, match="kept for a year"), transaction.atomic():
        Seen.objects.all()._raw_delete("default")


def test_look_cannot_be_written_over(fitter):
    Seen.objects.create(by=fitter, page="diary:today", mark="1")

    with pytest.raises(IntegrityError, match="only added to"):
        Seen.objects.update(page="diary:week")


def test_every_page_about_something_leads_to_its_customer():
    """A new page with a number or a key in its address leads to a customer, or is named here."""
    lost = {
        name
        for name, pattern in ALL.items()
        if watching.NAMES.keys() & pattern.pattern.converters.keys()
        and watching.way_to(name, pattern.pattern.converters) is None
    }
    nobodys = {
        *(name for name, way in watching.PAGES.items() if way is None),
        "bringing:import_detail",
        "bringing:import_take_back",
        *(name for name in lost if name.startswith(("accounts:", "bringing:upload_"))),
        "lessons:case_omit",
        "lessons:omission_strike",
        "opendays:absence_end",
        "opendays:closure_end",
        "feeds:feed_renew",
        "feeds:feed_revoke",
    }

    assert lost == nobodys
