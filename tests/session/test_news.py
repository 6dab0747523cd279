"""What one tablet says of a garment reaches the other, and costs little while nothing is said."""

import pytest

from fittings.session.queries import state_of

pytestmark = pytest.mark.django_db

SILENT = 4  # the sign-in, the person, the roles and one question
NOWHERE = "00000000-0000-0000-0000-000000000001"


@pytest.fixture
def hear(client, fitting, coat):
    def ask(known=""):
        headers = {"If-None-Match": known} if known else {}
        return client.get(f"/fitting/{fitting.pk}/{coat.number}/news/", headers=headers)

    return ask


def test_news_of_nothing_new_is_not_sent(hear, see, django_assert_num_queries):
    see()
    first = hear()

    with django_assert_num_queries(SILENT):
        again = hear(first["ETag"])

    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")


def test_news_tells_what_was_seen_meanwhile(hear, see):
    known = hear()["ETag"]
    see()

    answer = hear(known)

    assert answer.status_code == 200
    assert [line.seen.fault for line in answer.context["reading"].lines] == ["collar-stands-off"]


def test_page_knows_the_state_its_news_begin_from(client, hear, see, fitting):
    see()

    page = client.get(f"/fitting/{fitting.pk}/")

    assert hear(f'"{page.context["state"]}"').status_code == 304


def test_state_of_an_unknown_session_is_empty(coat):
    assert state_of(NOWHERE, coat.number) == ""
