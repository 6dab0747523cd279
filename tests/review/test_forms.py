import datetime

import pytest
from django.http import QueryDict

from fittings.review.asking import Asked, By
from fittings.review.forms import AskForm
from tests.factories import GarmentFactory

pytestmark = pytest.mark.django_db

TODAY = datetime.date(2026, 11, 25)


def form_of(address="", today=TODAY):
    return AskForm(QueryDict(address), today)


@pytest.mark.parametrize(
    ("today", "since"),
    [("2026-11-25", "2025-12-01"), ("2026-12-31", "2026-01-01"), ("2026-01-01", "2025-02-01")],
)
def test_empty_address_asks_for_twelve_months(today, since):
    form = form_of(today=datetime.date.fromisoformat(today))

    assert form.is_valid()
    assert (form.asked.since.isoformat(), form.asked.until.isoformat()) == (since, today)
    assert form.asked.by is By.CUTTER


def test_address_says_everything_that_is_asked():
    coat = GarmentFactory(kind="overcoat")
    form = form_of(
        f"since=2026-01-01&until=31/03/2026&by=fault&kind=overcoat"
        f"&cutter={coat.cutter.username}&cut={coat.cut_version.pk}"
    )

    assert form.is_valid()
    assert form.asked == Asked(
        since=datetime.date(2026, 1, 1),
        until=datetime.date(2026, 3, 31),
        by=By.FAULT,
        cutter=coat.cutter,
        cut=coat.cut_version,
        kind="overcoat",
    )


def test_one_day_alone_may_be_asked_about():
    assert form_of("since=2026-03-01&until=2026-03-01").is_valid()


def test_empty_choices_ask_for_everything():
    form = form_of("cutter=&cut=&kind=")

    assert form.is_valid()
    assert (form.asked.cutter, form.asked.cut, form.asked.kind) == (None, None, "")


def test_every_mistake_is_named_at_once():
    form = form_of("since=x&until=y&by=z&kind=q&cutter=nobody&cut=0")

    assert sorted(form.errors) == ["by", "cut", "cutter", "kind", "since", "until"]
