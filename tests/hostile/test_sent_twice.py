"""A form sent twice by one tap is kept once; its id is never taken for another thing's."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from tests.hostile.filled_forms import filled_forms
from tests.hostile.hand import rows, send, told, undone

pytestmark = pytest.mark.django_db

# Kept under a name instead of an id: the second sending says that the name is there already.
NAMED = {"accounts:person_create", "garments:cut_create"}
# With another password or session than the one sent, the second sending is refused.
PERSONAL = {"accounts:password_change", "accounts:prove"}
# A change of a row is known by the row's version; its id makes no entry.
VERSIONED = {"garments:garment_update"}


def test_form_sent_twice_is_answered_alike_and_kept_once(browser, house):
    found = []
    for name, where, values in filled_forms(house):
        with undone():
            first = send(browser, reverse(name, kwargs=where), values)
            between = rows()
            second = send(browser, reverse(name, kwargs=where), values)
            same = (first.status_code, first.get("Location")) == (302, second.get("Location"))
            found.append((name, not (same and rows() == between)))

    assert {name for name, _ in told(found)} == NAMED | PERSONAL


def last_word(answer):
    """The kind of the newest message for the next page."""
    return [said.level_tag for said in get_messages(answer.wsgi_request)][-1]


def test_id_of_another_thing_is_refused_and_nothing_said_to_be_kept(browser, house):
    found = []
    theirs = filled_forms(house, house.there)
    for (name, where, values), (_, there, others) in zip(filled_forms(house), theirs, strict=True):
        if "entry_id" in values and name not in VERSIONED:
            used = values | {"entry_id": others["entry_id"]}
            with undone():
                first = send(browser, reverse(name, kwargs=there), others)
                between = rows()
                second = send(browser, reverse(name, kwargs=where), used)
                told_so = second.status_code == 422 or last_word(second) == "error"
                kept_once = first.status_code == 302 and rows() == between
                found.append((name, second.status_code, not (told_so and kept_once)))

    assert told(found) == []
