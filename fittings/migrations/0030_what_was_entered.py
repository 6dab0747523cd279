"""A row of ``fittings_recount`` says what was entered, so that only what hangs on it is counted.

The stage of a garment is written with every entry of one and says nothing of its own but whether
the garment was begun; its other columns make it another garment. Notes and the like touch nothing.
"""

import importlib

from django.db import migrations, models

OLD = importlib.import_module("fittings.migrations.0015_review_recounts")
MARKED = importlib.import_module("fittings.migrations.0028_month_marks")
BEFORE = (*OLD.WATCHED, *MARKED.WATCHED)
STAGE = "UPDATE OF stage"
GARMENT = (
    "UPDATE OF customer_id, serial, kind, cutter_id, cut_version_id, cloth_pattern, cloth_length, "
    "promised_on"
)
# What was entered, by its table; after what; the column of fittings_recount, whose value.
WATCHED = (
    *(row for row in BEFORE if row[:2] != ("garments_garment", "UPDATE")),
    ("garments_garment", GARMENT, "garment_id", "id"),
    ("garments_garment", STAGE, "garment_id", "id"),
)
SQLITE = """
CREATE TRIGGER {name} AFTER {event} ON "{table}"
BEGIN INSERT INTO fittings_recount ({column}, entered) VALUES (NEW.{value}, '{entered}'); END
"""
POSTGRES_FUNCTION = """
CREATE FUNCTION {name}() RETURNS trigger AS $$
BEGIN
  INSERT INTO fittings_recount ({column}, entered) VALUES (NEW.{value}, '{entered}'); RETURN NULL;
END
$$ LANGUAGE plpgsql
"""
POSTGRES = """
CREATE TRIGGER {name} AFTER {event} ON "{table}" FOR EACH ROW EXECUTE FUNCTION {name}()
"""


def name_of(table, event):
    """The trigger's name; that of a garment's stage stands beside that of its other columns."""
    return f"{table}_recount_{'stage' if event == STAGE else event.split()[0].lower()}"


def lay(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, event, column, value in WATCHED:
        names = {
            "name": name_of(table, event),
            "table": table,
            "event": event,
            "column": column,
            "value": value,
            "entered": "stage" if event == STAGE else table,
        }
        for sql in (POSTGRES_FUNCTION, POSTGRES) if postgres else (SQLITE,):
            schema_editor.execute(sql.format(**names), params=None)


def unlay(_apps, schema_editor):
    _drop(schema_editor, [(name_of(table, event), table) for table, event, _, _ in WATCHED])


def lay_old(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, verb, column, value in BEFORE:
        names = {"table": table, "verb": verb.lower(), "VERB": verb}
        for sql in (OLD.POSTGRES_FUNCTION, OLD.POSTGRES) if postgres else (OLD.SQLITE,):
            schema_editor.execute(sql.format(**names, column=column, value=value), params=None)


def unlay_old(_apps, schema_editor):
    _drop(schema_editor, [(name_of(table, verb), table) for table, verb, _, _ in BEFORE])


def _drop(schema_editor, laid):
    postgres = schema_editor.connection.vendor == "postgresql"
    for name, table in laid:
        MARKED.unlay(schema_editor, name, table)
        if postgres:
            schema_editor.execute(f"DROP FUNCTION {name}()")


class Migration(migrations.Migration):
    dependencies = [("fittings", "0029_person_changes"), ("garments", "0010_fitters_reply")]
    operations = [
        migrations.RunPython(unlay_old, lay_old),
        # Empty rather than "": SQLite adds such a column without making the table anew.
        migrations.AddField(
            model_name="recount",
            name="entered",
            field=models.CharField(max_length=40, null=True),
        ),
        migrations.RunPython(lay, unlay),
    ]
