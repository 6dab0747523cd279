"""What tests of nonsense do with the house: send a form, undo it, count what is kept."""

from contextlib import contextmanager
from urllib.parse import urlencode

from django.apps import apps
from django.conf import settings
from django.core.signals import request_finished
from django.db import close_old_connections, connection, transaction

PLACES = ("customers", "garments", "fittings", "auth")
URLENCODED = "application/x-www-form-urlencoded"
# What is counted from the record can be counted again; a wrong try is kept for being refused.
NO_RECORD = {"fittings.models.counts", "fittings.models.tries"}
HALF = "a\ud800b"  # of a character, as no text should hold it


@contextmanager
def undone():
    """A request whose writes are taken back, so that the next finds the house as it was."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def close(answer):
    """Close its file, and not the database, in which the test is in the middle of something."""
    request_finished.disconnect(close_old_connections)
    answer.close()
    request_finished.connect(close_old_connections)


def rows():
    """How much the record holds: rows of every table, and the versions of those that change."""
    models = [each for each in apps.get_models() if each._meta.app_label in PLACES]
    models = [each for each in models if each.__module__ not in NO_RECORD]
    tables = [each._meta.db_table for each in models]
    changed = [each._meta.db_table for each in models if hasattr(each, "version")]
    counts = [f"(SELECT count(*) FROM {table})" for table in tables]
    sums = [f"(SELECT coalesce(sum(version), 0) FROM {table})" for table in changed]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(counts + sums)}")
        return cursor.fetchone()


def send(browser, address, values, **options):
    """Post as a form does; a lone half of a character goes as the three bytes it would be."""
    browser.cookies[settings.SESSION_COOKIE_NAME] = browser.ticket
    files = [value for value in values.values() if hasattr(value, "seek")]
    sent = [one for value in values.values() for one in (value if type(value) is list else [value])]
    if files and HALF not in sent:
        for file in files:
            file.seek(0)
        return browser.post(address, values, **options)
    body = urlencode(values, doseq=True, errors="surrogatepass")
    return browser.post(address, body, content_type=URLENCODED, **options)


def told(found):
    return [entry for entry in found if entry[-1]]
