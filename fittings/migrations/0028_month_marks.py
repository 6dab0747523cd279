"""What the review counts is marked by the month it touched, so that only those are added up anew.

An entry whose months follow from its garment names it: a cause taken did not, and an alteration
said later to answer a fault left no row at all.
"""

import importlib
import uuid

from django.db import migrations, models

LAYING = importlib.import_module("fittings.migrations.0015_review_recounts")
NAMING = importlib.import_module("fittings.migrations.0023_kept_answers")
WATCHED = (
    ("fittings_causetaken", "INSERT", "garment_id", "garment_id"),
    ("fittings_observation_alterations", "INSERT", "alteration_id", "alteration_id"),
)
UNNAMED = ("fittings_causetaken", "INSERT")


def forward(_apps, schema_editor):
    unlay(schema_editor, "fittings_causetaken_review_insert", "fittings_causetaken")
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, verb, column, value in WATCHED:
        names = {"table": table, "verb": verb.lower(), "VERB": verb}
        pieces = (LAYING.POSTGRES_FUNCTION, LAYING.POSTGRES) if postgres else (LAYING.SQLITE,)
        for sql in pieces:
            schema_editor.execute(sql.format(**names, column=column, value=value), params=None)


def backward(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for table, verb, _, _ in WATCHED:
        name = f"{table}_recount_{verb.lower()}"
        unlay(schema_editor, name, table)
        if postgres:
            schema_editor.execute(f"DROP FUNCTION {name}()")
    table, event = UNNAMED
    sql = NAMING.POSTGRES if postgres else NAMING.SQLITE
    names = {"table": table, "event": event, "verb": event.lower()}
    schema_editor.execute(sql.format(**names), params=None)


def unlay(schema_editor, name, table):
    postgres = schema_editor.connection.vendor == "postgresql"
    schema_editor.execute(f"DROP TRIGGER {name}" + (f' ON "{table}"' if postgres else ""))


class Migration(migrations.Migration):
    dependencies = [("fittings", "0027_privacy"), ("garments", "0010_fitters_reply")]
    operations = [
        migrations.CreateModel(
            name="MonthMark",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=10)),
                ("month", models.DateField()),
                ("mark", models.CharField(max_length=36)),
            ],
        ),
        migrations.AddConstraint(
            model_name="monthmark",
            constraint=models.UniqueConstraint(
                fields=("kind", "month"), name="one_mark_of_a_month"
            ),
        ),
        migrations.AddField(
            model_name="countmark", name="epoch", field=models.UUIDField(default=uuid.uuid4)
        ),
        migrations.RemoveIndex(model_name="seencount", name="seen_counts_by_day"),
        migrations.AddField(
            model_name="seencount", name="before_at", field=models.DateTimeField(null=True)
        ),
        migrations.AddIndex(
            model_name="seencount",
            index=models.Index(
                fields=[
                    "seen_at",
                    "kind",
                    "zone",
                    "fault",
                    "before_at",
                    "garment_id",
                    "fitting_id",
                    "cutter_id",
                    "cut_version_id",
                ],
                name="seen_counts_by_day",
            ),
        ),
        migrations.RunPython(forward, backward),
        migrations.RunSQL(
            "INSERT INTO fittings_recount (garment_id) SELECT id FROM garments_garment",
            migrations.RunSQL.noop,
        ),
    ]
