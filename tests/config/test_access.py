"""Every address of the ledger, asked for by nobody and by each of the four roles."""

import uuid

import pytest
from django.contrib.auth.models import Group
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from fittings.config.access import EVERYONE, PAGES, PUBLIC, ROLES, may_open
from fittings.migrations import __path__ as migrations_path
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db

# One value for each kind of thing an address may carry. None of them exists: a page that lets the
# role in answers 404, 405 or a page; one that does not must say 403 before it looks.
VALUES = {
    "pk": 999_999,
    "number": "G1-0",
    "revision": 1,
    "table": "none",
    "day": "2026-02-02",
}
UUIDS = {"uuid"}
# Steps of signing in: open to nobody's name, and sent back to its beginning without what precedes.
STEPS = {"accounts:hand_change", "accounts:second_step"}


def addresses(resolver, prefix="", namespace=""):
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            inner = pattern.namespace or namespace
            yield from addresses(pattern, prefix + str(pattern.pattern), inner)
        elif isinstance(pattern, URLPattern):
            name = f"{namespace}:{pattern.name}" if namespace else pattern.name
            yield name, pattern


ALL = dict(addresses(get_resolver()))


def address_of(name):
    converters = ALL[name].pattern.converters
    kwargs = {}
    for key, converter in converters.items():
        kind = type(converter).__name__
        if kind == "UUIDConverter":
            kwargs[key] = uuid.UUID(int=1)
        elif kind == "IntConverter":
            kwargs[key] = VALUES.get(key, 999_999)
        else:
            kwargs[key] = VALUES.get(key, "G1-0")
    return reverse(name, kwargs=kwargs)


def test_table_names_every_address_and_no_other():
    assert set(PAGES) == set(ALL)


def test_groups_are_made_by_migration():
    assert migrations_path
    assert set(Group.objects.values_list("name", flat=True)) == set(ROLES)


def test_nobody_is_sent_to_sign_in(client):
    opened = set()
    for name in ALL:
        answer = client.get(address_of(name))
        if not (answer.status_code == 302 and answer.url.startswith("/people/sign-in/")):
            opened.add(name)

    public = {name for name, roles in PAGES.items() if roles == PUBLIC}
    assert opened == public - STEPS


@pytest.mark.parametrize("role", ROLES)
def test_role_opens_only_its_pages(client, role):
    client.force_login(UserFactory(role=role))

    codes = {name: client.get(address_of(name)).status_code for name in ALL}

    assert {name for name, code in codes.items() if code == 403} == closed_to(role)
    assert [name for name, code in codes.items() if code >= 500] == []


def closed_to(role):
    return {name for name, roles in PAGES.items() if roles != PUBLIC and role not in roles}


def test_person_without_role_opens_nothing(client):
    client.force_login(UserFactory())

    assert client.get(address_of("diary:today")).status_code == 403


def test_page_missing_from_table_opens_for_nobody():
    owner = UserFactory(role="owner")

    assert may_open(owner, "nowhere:at_all") is False


def test_every_role_is_used_by_some_page():
    assert frozenset().union(*PAGES.values()) - PUBLIC == EVERYONE
