"""The two databases behave alike where it counts, and SQLite is as durable as the settings ask."""

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from customers.models import Consent, House
from tests.factories import ConsentFactory


def pragma(name):
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}")
        return cursor.fetchone()[0]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("journal_mode", "truncate"),
        ("synchronous", 2),
        ("foreign_keys", 1),
        ("busy_timeout", 20000),
    ],
)
def test_sqlite_file_is_opened_durably(sqlite_database, name, value):
    assert pragma(name) == value


def test_sqlite_transaction_takes_its_lock_at_begin(sqlite_database):
    with CaptureQueriesContext(connection) as queries, transaction.atomic():
        House.objects.exists()

    assert queries[0]["sql"] == "BEGIN IMMEDIATE"


def test_migrations_leave_nothing_to_migrate(either_database):
    call_command("migrate", "--check", verbosity=0)

    assert House.objects.count() == 1


@pytest.mark.parametrize("statement", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_ledger_table_refuses_raw_sql(either_database, statement):
    ConsentFactory()

    with pytest.raises(IntegrityError, match="only added to"), connection.cursor() as cursor:
        cursor.execute(statement.format(Consent._meta.db_table))

    assert Consent.objects.count() == 1


@pytest.mark.django_db
def test_migrations_match_the_models():
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)
