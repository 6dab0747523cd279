"""A page asked for again is the kept one, until anything that it shows has changed."""

import re
import uuid

import pytest
from django.contrib.auth.models import User
from django.core.cache import caches

from customers.ledger import take_back
from customers.models import House
from fittings.models import CatalogueEntry, CauseTaken
from fittings.review.counting import mark_of_counts
from garments.models import Cut, StageEntry
from tests.factories import CauseTakenFactory, RemakeFactory
from tests.review.scenes import DAYS, MEMORY, reach, tried_on

pytestmark = pytest.mark.django_db
PAGES = ("/review/", "/review/returns/", "/review/why/")
LETTER = "/review/letter/?month=2026-02"


@pytest.fixture(autouse=True)
def kept(settings):
    settings.CACHES = {**settings.CACHES, "template_fragments": MEMORY}
    yield
    caches["template_fragments"].clear()


@pytest.fixture
def coat():
    """A coat delivered in February, with a fault seen, a cause taken and a piece cut again."""
    made, look = tried_on(("collar", "coat-collar-gap"), day="2026-01-20")
    CauseTakenFactory(fitting=look, garment=made)
    RemakeFactory(replaces=made, at=look.started_at)
    reach(made, "delivered", "2026-02-10")
    return made


def read(owner, page):
    """What stands under the frame, without the tokens of its forms."""
    answer = owner.get(page, {} if "?" in page else {**DAYS, "by": "cut"})
    return re.sub(r'value="[\w-]{30,}"', "", answer.content.decode().partition("<main")[2])


def struck(row, *same):
    take_back(row, entry_id=uuid.uuid4(), by=row.by, same=same)


def came_back(coat):
    reach(coat, "returned", "2026-03-01")


def never_delivered(coat):
    struck(StageEntry.objects.get(garment=coat, stage="delivered"), "garment", "stage")


def cause_struck(coat):
    struck(CauseTaken.objects.get(garment=coat), "fitting", "garment", "cause")


def cutter_renamed(coat):
    User.objects.filter(pk=coat.cutter_id).update(last_name="Otherwise")


def cut_renamed(coat):
    Cut.objects.filter(pk=coat.cut_version.cut_id).update(name="Another")


def minute_priced(_coat):
    House.objects.update(minute_cost=2)


@pytest.mark.parametrize("page", PAGES)
def test_page_asked_for_again_asks_the_record_nothing(owner, coat, page, django_assert_num_queries):
    first = read(owner, page)

    with django_assert_num_queries(5):  # session, person, roles, the house, the mark
        again = read(owner, page)

    assert again == first


def test_letter_asked_for_again_asks_what_is_in_work(owner, coat, django_assert_num_queries):
    first = read(owner, LETTER)

    with django_assert_num_queries(8):  # and who makes, what is in work, what was sent
        again = read(owner, LETTER)

    assert again == first


@pytest.mark.parametrize(
    "change",
    [came_back, never_delivered, cause_struck, cutter_renamed, cut_renamed, minute_priced],
)
def test_whatever_changes_is_shown_at_once(owner, coat, change):
    before = [read(owner, page) for page in (*PAGES, LETTER)]
    change(coat)

    shown = [read(owner, page) for page in (*PAGES, LETTER)]

    caches["template_fragments"].clear()
    assert shown == [read(owner, page) for page in (*PAGES, LETTER)]
    assert shown != before


def test_change_of_the_catalogue_names_another_state():
    before = mark_of_counts()

    by = User.objects.create(username="owner")
    same = {"number": 1, "edit": uuid.uuid4(), "table": "fault", "key": "house-x", "data": {}}
    CatalogueEntry.objects.create(**same, by=by)

    assert mark_of_counts() != before


def test_nothing_new_leaves_the_state_its_name(coat):
    assert mark_of_counts() == mark_of_counts()
