"""SQL for migrations: the one way past the ledger's guards when a person is erased.

A guarded row may change in one way only: each of its free texts becomes ``ERASED`` (an empty one
stays empty) and every other column stays as it is. And only a row that an erasure names
(`fittings_redacted`, itself only added to, with author, time and reason in its
`fittings_erasure`). So it cannot be done unseen, by whatever way one writes; nothing goes.

The triggers read no table but `fittings_redacted`: SQLite refuses to rename a table that a trigger
of another one reads, and Django renames tables to change them. A later migration that makes one of
these guards anew must open this way again after it.
"""

from collections.abc import Iterable, Mapping
from typing import Any, Final

ERASED: Final = "erased"
# Guarded table, its columns that people write freely into.
WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "customers_consent": ("wording",),
    "customers_measurementset": ("note",),
    "garments_stageentry": ("reason",),
    "garments_remake": ("reason",),
    "garments_garmentwish": ("note",),
    "garments_alteration": ("why",),
    "garments_ticketrevision": ("note", "reason"),
    "garments_answer": ("reason",),
    "garments_carryanswer": ("reason",),
    "garments_passedline": ("reason",),
    "fittings_bookingchange": ("reason",),
    "fittings_observation": ("note",),
    "fittings_remark": ("text",),
    "fittings_causetaken": ("words",),
    "fittings_judgement": ("note",),
    "fittings_decision": ("note",),
    "fittings_photograph": ("caption",),
    "fittings_photographdeletion": ("reason",),
    "fittings_waiting": ("note",),
    "fittings_callback": ("note",),
    "fittings_messageevent": ("why",),
    "fittings_omission": ("note",),
}

_NAMED_SQLITE: Final = """EXISTS (SELECT 1 FROM fittings_redacted r
    WHERE r.held_in = '{table}' AND r.row_key = CAST(OLD.id AS TEXT))"""
_NAMED_POSTGRES: Final = """EXISTS (SELECT 1 FROM fittings_redacted r
    WHERE r.held_in = '{table}' AND r.row_key = replace(OLD.id::text, '-', ''))"""
_EMPTIED: Final = """NEW."{column}" = CASE WHEN OLD."{column}" = '' THEN '' ELSE '{erased}' END"""
_SQLITE: Final = """
CREATE TRIGGER {table}_no_update BEFORE UPDATE ON "{table}" WHEN NOT ({may})
BEGIN SELECT RAISE(ABORT, 'ledger: {table} is only added to'); END
"""
_PLAIN_SQLITE: Final = """
CREATE TRIGGER {table}_no_update BEFORE UPDATE ON "{table}"
BEGIN SELECT RAISE(ABORT, 'ledger: {table} is only added to'); END
"""
_FUNCTION: Final = """
CREATE OR REPLACE FUNCTION {table}_refuse_update() RETURNS trigger AS $$
BEGIN
    IF ({may}) THEN RETURN NEW; END IF;
    RAISE EXCEPTION 'ledger: % is only added to', TG_TABLE_NAME
        USING ERRCODE = 'integrity_constraint_violation';
END $$ LANGUAGE plpgsql
"""
_POSTGRES: Final = """
CREATE TRIGGER {table}_no_update BEFORE UPDATE ON "{table}"
FOR EACH ROW EXECUTE FUNCTION {function}()
"""
# What was seen goes after a year, and not before: nobody takes a look back out of the book.
_SEEN_SQLITE: Final = (
    """CREATE TRIGGER fittings_seen_no_update BEFORE UPDATE ON "fittings_seen"
BEGIN SELECT RAISE(ABORT, 'ledger: fittings_seen is only added to'); END""",
    """CREATE TRIGGER fittings_seen_no_delete BEFORE DELETE ON "fittings_seen"
WHEN OLD.at > strftime('%Y-%m-%d %H:%M:%S', 'now', '-360 days')
BEGIN SELECT RAISE(ABORT, 'ledger: fittings_seen is kept for a year'); END""",
)
_SEEN_POSTGRES: Final = (
    """CREATE FUNCTION fittings_seen_refuse_delete() RETURNS trigger AS $$
BEGIN
    IF OLD.at <= now() - interval '360 days' THEN RETURN OLD; END IF;
    RAISE EXCEPTION 'ledger: fittings_seen is kept for a year'
        USING ERRCODE = 'integrity_constraint_violation';
END $$ LANGUAGE plpgsql""",
    """CREATE TRIGGER fittings_seen_no_update BEFORE UPDATE ON "fittings_seen"
FOR EACH ROW EXECUTE FUNCTION ledger_refuse()""",
    """CREATE TRIGGER fittings_seen_no_delete BEFORE DELETE ON "fittings_seen"
FOR EACH ROW EXECUTE FUNCTION fittings_seen_refuse_delete()""",
)


def open_way(_apps: Any, schema_editor: Any) -> None:
    """Let the guards know of erasures."""
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, columns in WORDS.items():
        may = _may_empty(schema_editor, table, columns)
        _drop(schema_editor, table, "update")
        for sql in (_FUNCTION, _POSTGRES) if postgres else (_SQLITE,):
            names = {"table": table, "may": may, "function": f"{table}_refuse_update"}
            schema_editor.execute(sql.format(**names), params=None)


def close_way(_apps: Any, schema_editor: Any) -> None:
    """The guards as they were: nothing changes at all."""
    postgres = schema_editor.connection.vendor == "postgresql"
    plain = _POSTGRES if postgres else _PLAIN_SQLITE
    for table in WORDS:
        _drop(schema_editor, table, "update")
        schema_editor.execute(plain.format(table=table, function="ledger_refuse"), params=None)
        if postgres:
            schema_editor.execute(f"DROP FUNCTION {table}_refuse_update()", params=None)


def guard_seen(_apps: Any, schema_editor: Any) -> None:
    postgres = schema_editor.connection.vendor == "postgresql"
    for sql in _SEEN_POSTGRES if postgres else _SEEN_SQLITE:
        schema_editor.execute(sql, params=None)


def unguard_seen(_apps: Any, schema_editor: Any) -> None:
    for verb in ("update", "delete"):
        _drop(schema_editor, "fittings_seen", verb)
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP FUNCTION fittings_seen_refuse_delete()", params=None)


def _may_empty(schema_editor: Any, table: str, columns: Iterable[str]) -> str:
    """The condition on which a row may lose its words and nothing else."""
    emptied = [_EMPTIED.format(column=column, erased=ERASED) for column in columns]
    if schema_editor.connection.vendor == "postgresql":
        words = ", ".join(f"'{column}'" for column in columns)
        rest = [f"to_jsonb(NEW) - ARRAY[{words}] = to_jsonb(OLD) - ARRAY[{words}]"]
        named = _NAMED_POSTGRES
    else:
        held = _columns(schema_editor, table)
        rest = [f'NEW."{name}" IS OLD."{name}"' for name in held if name not in columns]
        named = _NAMED_SQLITE
    return " AND ".join((named.format(table=table), *emptied, *rest))


def _columns(schema_editor: Any, table: str) -> list[str]:
    with schema_editor.connection.cursor() as cursor:
        described = schema_editor.connection.introspection.get_table_description(cursor, table)
    return [column.name for column in described]


def _drop(schema_editor: Any, table: str, verb: str) -> None:
    on = f' ON "{table}"' if schema_editor.connection.vendor == "postgresql" else ""
    schema_editor.execute(f"DROP TRIGGER {table}_no_{verb}{on}", params=None)
