"""The days a garment is watched are counted alike on both sides of a rate."""

import datetime
from zoneinfo import ZoneInfo

import pytest

from fittings.review.measures import WATCH, watched_out

LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize("month", range(1, 13))
def test_watch_is_days_of_24_hours_whatever_the_clocks_did(month):
    """As SQL counts the days to coming back; ninety days by the clock are an hour more or less."""
    now = datetime.datetime(2026, month, 1, tzinfo=LONDON)

    assert now.timestamp() - watched_out(now).timestamp() == WATCH.total_seconds()
