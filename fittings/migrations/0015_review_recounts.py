"""Whatever is entered that may change the review's counts leaves a row in ``fittings_recount``.

By triggers, so that no way of writing can be forgotten: services, bulk loads, the shell. Their
bodies name no table but ``fittings_recount``: SQLite refuses to rename a table that a trigger of
another one reads, and Django renames tables to change them.
"""

from django.db import migrations

# Table, after what, the column of fittings_recount, whose value.
WATCHED = (
    ("garments_garment", "INSERT", "garment_id", "id"),
    ("garments_garment", "UPDATE", "garment_id", "id"),
    ("garments_stageentry", "INSERT", "garment_id", "garment_id"),
    ("garments_remake", "INSERT", "garment_id", "replaces_id"),
    ("garments_carryanswer", "INSERT", "garment_id", "garment_id"),
    ("garments_alteration", "INSERT", "garment_id", "garment_id"),
    ("garments_answer", "INSERT", "revision_id", "revision_id"),
    ("fittings_fitting", "UPDATE", "fitting_id", "id"),
    ("fittings_fitting_garments", "INSERT", "garment_id", "garment_id"),
    ("fittings_observation", "INSERT", "garment_id", "garment_id"),
    ("fittings_judgement", "INSERT", "alteration_id", "alteration_id"),
)
SQLITE = """
CREATE TRIGGER {table}_recount_{verb} AFTER {VERB} ON "{table}"
BEGIN INSERT INTO fittings_recount ({column}) VALUES (NEW.{value}); END
"""
POSTGRES_FUNCTION = """
CREATE FUNCTION {table}_recount_{verb}() RETURNS trigger AS $$
BEGIN INSERT INTO fittings_recount ({column}) VALUES (NEW.{value}); RETURN NULL; END
$$ LANGUAGE plpgsql
"""
POSTGRES = """
CREATE TRIGGER {table}_recount_{verb} AFTER {VERB} ON "{table}"
FOR EACH ROW EXECUTE FUNCTION {table}_recount_{verb}()
"""


def forward(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, verb, column, value in WATCHED:
        names = {"table": table, "verb": verb.lower(), "VERB": verb}
        for sql in (POSTGRES_FUNCTION, POSTGRES) if postgres else (SQLITE,):
            schema_editor.execute(sql.format(**names, column=column, value=value), params=None)
    schema_editor.execute(
        "INSERT INTO fittings_recount (garment_id) SELECT id FROM garments_garment"
    )


def backward(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, verb, _, _ in WATCHED:
        name = f"{table}_recount_{verb.lower()}"
        schema_editor.execute(f"DROP TRIGGER {name}" + (f' ON "{table}"' if postgres else ""))
        if postgres:
            schema_editor.execute(f"DROP FUNCTION {name}()")


class Migration(migrations.Migration):
    dependencies = [("fittings", "0014_review_counts"), ("garments", "0010_fitters_reply")]
    operations = [migrations.RunPython(forward, backward)]
