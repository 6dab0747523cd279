"""The review's pages are kept until anything that they show has changed.

What changes no count but stands on the pages (names, the catalogue, causes) and what is taken out of
the ledger leaves a row in ``fittings_recount`` that names no garment.
"""

import uuid

from django.db import migrations, models

# Table, and after what. A sign-in writes its time beside the names: it changes no page.
NAMED = (
    ("auth_user", "UPDATE OF first_name, last_name, username"),
    ("garments_cut", "UPDATE"),
    ("garments_cutversion", "INSERT"),
    ("garments_cutversion", "UPDATE"),
    ("garments_garment", "DELETE"),
    ("fittings_catalogueentry", "INSERT"),
    ("fittings_causetaken", "INSERT"),
)
SQLITE = """
CREATE TRIGGER {table}_review_{verb} AFTER {event} ON "{table}"
BEGIN INSERT INTO fittings_recount (garment_id) VALUES (NULL); END
"""
POSTGRES_FUNCTION = """
CREATE FUNCTION review_changed() RETURNS trigger AS $$
BEGIN INSERT INTO fittings_recount (garment_id) VALUES (NULL); RETURN NULL; END
$$ LANGUAGE plpgsql
"""
POSTGRES = """
CREATE TRIGGER {table}_review_{verb} AFTER {event} ON "{table}"
FOR EACH STATEMENT EXECUTE FUNCTION review_changed()
"""


def forward(apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    if postgres:
        schema_editor.execute(POSTGRES_FUNCTION, params=None)
    for table, event in NAMED:
        names = {"table": table, "event": event, "verb": event.split()[0].lower()}
        schema_editor.execute((POSTGRES if postgres else SQLITE).format(**names), params=None)
    apps.get_model("fittings", "CountMark").objects.create()


def backward(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, event in NAMED:
        name = f"{table}_review_{event.split()[0].lower()}"
        schema_editor.execute(f"DROP TRIGGER {name}" + (f' ON "{table}"' if postgres else ""))
    if postgres:
        schema_editor.execute("DROP FUNCTION review_changed()")


class Migration(migrations.Migration):
    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
        ("fittings", "0022_travelling"),
        ("garments", "0010_fitters_reply"),
    ]
    operations = [
        migrations.CreateModel(
            name="CountMark",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("mark", models.UUIDField(default=uuid.uuid4)),
            ],
        ),
        migrations.RunPython(forward, backward),
    ]
