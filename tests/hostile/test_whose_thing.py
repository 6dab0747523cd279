"""Every address by every role before one customer's things, another's, and things of both.

In one house nobody's work is hidden from a colleague of the same role: who may open a page may open
it for every customer. What must hold is that the table alone decides, that it decides before
anything is looked up (so that a refusal tells nobody what there is), and that a thing is found only
under what it belongs to. OWASP ASVS 5.0.0: 8.2.1 and 8.2.2, functions and single data.
"""

import pytest
from django.db import connection
from django.urls import resolve, reverse

from fittings.config.access import PAGES, PUBLIC, ROLES
from tests.factories import UserFactory
from tests.hostile.filled_forms import standing_addresses
from tests.hostile.hand import close, rows, undone

pytestmark = pytest.mark.django_db

THINGS = {"number", "pk", "entry"}  # what a customer has; the rest are words of the house
ASKS_MORE = {"lessons:figure_detail"}  # which figure stands after the question mark
OPENED, NOT_FOUND, REFUSED = {200, 302, 405}, {404, 405}, {403}


@pytest.fixture
def whose(house):
    """Of each page: its addresses before one customer's things, before another's, and mixed."""
    here, there = standing_addresses(house), standing_addresses(house, house.there)
    return {name: (here[name], there[name], list(mixed(name, here, there))) for name in PAGES}


def mixed(name, here, there):
    """The address with one of its names exchanged for the other customer's."""
    mine, theirs = resolve(here[name]).kwargs, resolve(there[name]).kwargs
    other = [part for part in mine if mine[part] != theirs[part]]
    if len(other) > 1:
        yield from (reverse(name, kwargs=mine | {part: theirs[part]}) for part in other)


def opens(role, name):
    return PAGES[name] == PUBLIC or role in PAGES[name]


def codes_of(client, address):
    """What the address answers to a look, and to a form with nothing in it; nothing is kept."""
    with undone():
        looked = client.get(address)
        close(looked)
    with undone():
        before = rows()
        codes = {looked.status_code, client.post(address).status_code}
        assert rows() == before, address
    return codes


@pytest.fixture
def signed_in(client, request):
    client.force_login(UserFactory(role=request.param))
    return client, request.param


@pytest.mark.long
@pytest.mark.parametrize("signed_in", ROLES, indirect=True)
def test_role_opens_its_pages_for_every_customer_alike(signed_in, whose):
    client, role = signed_in
    wrong = []
    for name, (mine, theirs, _) in whose.items():
        if opens(role, name):
            answers = [client.get(address) for address in dict.fromkeys((mine, theirs))]
            codes = {answer.status_code for answer in answers}
            right = OPENED | {404} if name in ASKS_MORE else OPENED
            wrong += [] if len(codes) == 1 and codes <= right else [(name, codes)]
            for answer in answers:
                close(answer)

    assert wrong == []


@pytest.mark.parametrize("signed_in", ROLES, indirect=True)
def test_closed_page_is_refused_before_anything_is_looked_up(signed_in, whose):
    client, role = signed_in
    closed = {name: found for name, found in whose.items() if not opens(role, name)}
    wrong = [
        (name, address)
        for name, (mine, theirs, both) in closed.items()
        for address in (mine, theirs, *both)
        if codes_of(client, address) != REFUSED
    ]

    assert wrong == []


@pytest.mark.parametrize("signed_in", ROLES, indirect=True)
def test_thing_is_found_only_under_what_it_belongs_to(signed_in, whose):
    client, role = signed_in
    wrong, tried = [], 0
    for name, (_, _, both) in whose.items():
        for address in both if opens(role, name) else ():
            tried += 1
            codes = codes_of(client, address)
            wrong += [] if codes <= NOT_FOUND and 404 in codes else [(name, address, codes)]

    assert (wrong, tried > 0 or role == "front of house") == ([], True)


def test_every_address_with_two_names_is_among_the_mixed(whose):
    names = {name: set(resolve(mine).kwargs) & THINGS for name, (mine, _, _) in whose.items()}

    two = {name for name, things in names.items() if len(things) > 1}
    assert {name for name, (_, _, both) in whose.items() if both} == two


def test_nobody_is_sent_away_from_every_thing_alike(client, whose):
    with connection.execute_wrapper(refuse_but_sessions):
        sent = {
            (name, client.get(address).headers.get("Location", "").partition("?")[0])
            for name, (mine, theirs, both) in whose.items()
            if PAGES[name] != PUBLIC
            for address in (mine, theirs, *both)
        }

    assert sent == {(name, reverse("accounts:sign_in")) for name in PAGES if PAGES[name] != PUBLIC}


def refuse_but_sessions(execute, sql, params, many, context):
    """Nothing of the house is asked for before somebody is signed in."""
    assert "SELECT" not in sql or "session" in sql, sql
    return execute(sql, params, many, context)
