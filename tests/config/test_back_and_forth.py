"""A house full of work goes back through every migration and up again, on both databases.

Going back, each step leaves what stands in the columns that remain as it was; at zero nothing of
ours is left; up again the tables, constraints, guards and triggers are those of a new house.
"""

from collections import Counter
from itertools import product

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

pytestmark = pytest.mark.long

OURS = ("customers", "garments", "fittings")
# What Django itself, or a trigger, writes whenever it is migrated.
RUNNING = {"django_migrations", "django_content_type", "auth_permission", "fittings_recount"}
# How a database is made, as it tells itself.
SQLITE = {
    "tables": "SELECT name, sql FROM sqlite_master WHERE type = 'table'",
    "indexes": "SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'index'",
    "triggers": "SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'trigger'",
}
POSTGRES = {
    "tables": "SELECT table_name, column_name, data_type, character_maximum_length, is_nullable"
    " FROM information_schema.columns WHERE table_schema = 'public'",
    "constraints": "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid)"
    " FROM pg_constraint WHERE connamespace = 'public'::regnamespace",
    "indexes": "SELECT tablename, indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
    "triggers": "SELECT tgrelid::regclass::text, tgname, pg_get_triggerdef(oid) FROM pg_trigger"
    " WHERE NOT tgisinternal",
    "functions": "SELECT proname, proname, prosrc FROM pg_proc"
    " WHERE pronamespace = 'public'::regnamespace AND prolang <> 13",
}


@pytest.fixture
def house(either_database):
    """The demo house at the newest migration; what its tables hold is in its rows."""
    call_command("demo_house", verbosity=0)


def asked(sql):
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return cursor.fetchall()


def held():
    """Every table's columns and rows."""
    found = {}
    with connection.cursor() as cursor:
        for table in set(connection.introspection.table_names(cursor)) - RUNNING:
            cursor.execute(f'SELECT * FROM "{table}"')
            found[table] = ([column[0] for column in cursor.description], cursor.fetchall())
    return found


def changed(before, after):
    """The tables in which a column that both have says something else."""
    return [
        table
        for table in before.keys() & after.keys()
        if (shared := set(before[table][0]) & set(after[table][0]))
        and parts(before[table], shared) != parts(after[table], shared)
    ]


def parts(table, shared):
    names, rows = table
    places = sorted((name, names.index(name)) for name in shared)
    return Counter(repr([row[place] for _, place in places]) for row in rows)


def build():
    """How the database is made, by kind of part."""
    queries = SQLITE if connection.vendor == "sqlite" else POSTGRES
    return {kind: sorted(asked(sql), key=repr) for kind, sql in queries.items()}


def steps():
    """Our migrations in the order they are made, each with the one before it in its app."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes(), clean_start=True)
    last = dict.fromkeys(OURS)
    for migration, _ in plan:
        if (app := migration.app_label) in OURS:
            yield app, migration.name, last[app]
            last[app] = migration.name


def guarded():
    """The tables that have a row and refuse a change."""
    return {
        table
        for table, name, _ in build()["triggers"]
        if name == f"{table}_no_update" and asked(f'SELECT 1 FROM "{table}" LIMIT 1')
    }


def refuses(table, verb):
    change = {"update": f'UPDATE "{table}" SET "id" = "id"', "delete": f'DELETE FROM "{table}"'}
    with pytest.raises(DatabaseError) as refusal, transaction.atomic():
        asked(change[verb])
    return f"ledger: {table} is only added to" in str(refusal.value)


def test_each_step_back_keeps_what_older_columns_hold(house):
    wrong, before = [], held()
    for app, name, previous in reversed(list(steps())):
        MigrationExecutor(connection).migrate([(app, previous)])
        after = held()
        wrong += [(app, name, table) for table in changed(before, after)]
        before = after
    left = [part for kind in build().values() for part in kind if part[0].startswith(OURS)]

    assert (wrong, left) == ([], [])
    assert build()["triggers"] == []


def test_house_gone_back_to_zero_is_new_when_up_again(house):
    new = build()
    for app in reversed(OURS):
        call_command("migrate", app, "zero", verbosity=0)

    call_command("migrate", verbosity=0)

    assert build() == new
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_house_back_at_its_first_guards_and_up_keeps_its_rows(house):
    """Back to where the tables were first guarded: as far as an update ever has to be undone."""
    new, before = build(), held()
    for app in reversed(OURS):
        call_command("migrate", app, "0003" if app == "fittings" else "0002", verbosity=0)
    oldest = held()

    call_command("migrate", verbosity=0)

    kept = {table: rows for table, rows in held().items() if table in oldest}
    assert (changed(before, oldest), changed(oldest, kept), build()) == ([], [], new)
    tried = list(product(sorted(guarded()), ("update", "delete")))
    assert len(tried) > 30
    assert [each for each in tried if not refuses(*each)] == []
