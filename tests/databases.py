"""Real databases for tests that Django's own test transaction would spoil.

Such tests have several clients at once, a server process of its own, or triggers to try.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import dj_database_url
from django.conf import settings
from django.contrib.contenttypes.models import ContentType
from django.db import connections


def sqlite_url(path: Path) -> str:
    return f"sqlite:///{quote(str(path))}"


def configuration(url: str) -> dict:
    """Django's settings for the database at `url`, with the project's options where they fit."""
    parsed = dj_database_url.parse(url)
    sqlite = parsed["ENGINE"].endswith("sqlite3")
    options = settings.SQLITE_OPTIONS if sqlite else {}
    return {**settings.DATABASES["default"], **parsed, "OPTIONS": options}


@contextmanager
def default_database(url: str) -> Iterator[None]:
    """Make `url` the default database, for every thread that has not connected before.

    A thread of the test's own closes its connection itself.
    """
    before = connections.settings["default"]
    set_aside = connections["default"]
    # Set aside, not closed: closing an SQLite database in memory would destroy it.
    del connections["default"]
    connections.settings["default"] = configuration(url)
    ContentType.objects.clear_cache()
    try:
        yield
    finally:
        connections["default"].close()
        del connections["default"]
        connections.settings["default"] = before
        connections["default"] = set_aside
        ContentType.objects.clear_cache()
