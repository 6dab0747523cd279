"""SQL that makes a table append-only, for migrations, on SQLite and PostgreSQL alike."""

from collections.abc import Callable, Iterable
from typing import Any

SQLITE = """
CREATE TRIGGER {table}_no_{verb} BEFORE {VERB} ON "{table}"
BEGIN SELECT RAISE(ABORT, 'ledger: {table} is only added to'); END
"""
POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION ledger_refuse() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION 'ledger: % is only added to', TG_TABLE_NAME
    USING ERRCODE = 'integrity_constraint_violation';
END $$ LANGUAGE plpgsql
"""
POSTGRES = """
CREATE TRIGGER {table}_no_{verb} BEFORE {VERB} ON "{table}"
FOR EACH ROW EXECUTE FUNCTION ledger_refuse()
"""
VERBS = ("update", "delete")

Step = Callable[[Any, Any], None]


def guard(tables: Iterable[str]) -> tuple[Step, Step]:
    """Forward and backward steps for ``RunPython`` that guard ``tables`` and unguard them."""
    names = tuple(tables)

    def forward(_apps: Any, schema_editor: Any) -> None:
        postgres = schema_editor.connection.vendor == "postgresql"
        if postgres:
            schema_editor.execute(POSTGRES_FUNCTION, params=None)
        for table in names:
            for verb in VERBS:
                template = POSTGRES if postgres else SQLITE
                sql = template.format(table=table, verb=verb, VERB=verb.upper())
                schema_editor.execute(sql, params=None)

    def backward(_apps: Any, schema_editor: Any) -> None:
        on = ' ON "{table}"' if schema_editor.connection.vendor == "postgresql" else ""
        for table in names:
            for verb in VERBS:
                schema_editor.execute(
                    f"DROP TRIGGER {table}_no_{verb}" + on.format(table=table), params=None
                )

    return forward, backward
