"""SQL for migrations: the one way past the ledger's guard for an import that is taken back.

A list of five thousand wrong people must not lie in the ledger for ever, struck out but there: so
what an import brought is taken out again whole. The database itself holds the way narrow. A row
goes only when an import brought it (`fittings_brought`) and the ledger says by an entry of its own,
with author and time, that this import was taken back (a void `fittings_import` that strikes it).
Both tables are only added to, so neither the bringing nor the taking back can be undone unseen.
Whatever was built on the rows keeps them by its foreign key.

A later migration that makes one of these guards anew must make this one anew after it; that
`fittings_brought` and `fittings_import` are not remade on SQLite while triggers name them, too.
"""

from typing import Any, Final

# Table, the column of `fittings_brought` that names what the row belongs to, and the row's own.
TABLES: Final = (
    ("customers_measurement", "measurement_set", "in_set_id"),
    ("customers_measurementset", "measurement_set", "id"),
    ("garments_stageentry", "garment", "garment_id"),
    ("garments_inlaymovement", "garment", "garment_id"),
)
_TAKEN_BACK: Final = """EXISTS (
    SELECT 1 FROM fittings_brought b JOIN fittings_import s ON s.strikes_id = b.import_entry_id
    WHERE s.void AND b.{thing} = OLD.{own})"""
_SQLITE: Final = """
CREATE TRIGGER {table}_no_delete BEFORE DELETE ON "{table}" WHEN NOT {taken_back}
BEGIN SELECT RAISE(ABORT, 'ledger: {table} is only added to'); END
"""
_FUNCTION: Final = """
CREATE OR REPLACE FUNCTION {table}_refuse_delete() RETURNS trigger AS $$
BEGIN
    IF {taken_back} THEN RETURN OLD; END IF;
    RAISE EXCEPTION 'ledger: % is only added to', TG_TABLE_NAME
        USING ERRCODE = 'integrity_constraint_violation';
END $$ LANGUAGE plpgsql
"""
_POSTGRES: Final = """
CREATE TRIGGER {table}_no_delete BEFORE DELETE ON "{table}"
FOR EACH ROW EXECUTE FUNCTION {function}()
"""
_PLAIN_SQLITE: Final = """
CREATE TRIGGER {table}_no_delete BEFORE DELETE ON "{table}"
BEGIN SELECT RAISE(ABORT, 'ledger: {table} is only added to'); END
"""


def open_way(_apps: Any, schema_editor: Any) -> None:
    """Let the guards of what an import writes know of imports taken back."""
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, thing, own in TABLES:
        _drop(schema_editor, table, postgres=postgres)
        taken_back = _TAKEN_BACK.format(thing=thing, own=own)
        wording = {"table": table, "taken_back": taken_back, "function": f"{table}_refuse_delete"}
        for sql in (_FUNCTION, _POSTGRES) if postgres else (_SQLITE,):
            schema_editor.execute(sql.format(**wording), params=None)


def close_way(_apps: Any, schema_editor: Any) -> None:
    """The guards as they were: nothing goes at all."""
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, _, _ in TABLES:
        _drop(schema_editor, table, postgres=postgres)
        plain = _POSTGRES if postgres else _PLAIN_SQLITE
        schema_editor.execute(plain.format(table=table, function="ledger_refuse"), params=None)
        if postgres:
            schema_editor.execute(f"DROP FUNCTION {table}_refuse_delete()", params=None)


def _drop(schema_editor: Any, table: str, *, postgres: bool) -> None:
    on = f' ON "{table}"' if postgres else ""
    schema_editor.execute(f"DROP TRIGGER {table}_no_delete{on}", params=None)
