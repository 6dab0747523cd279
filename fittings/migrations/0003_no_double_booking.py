"""Two holding bookings of one fitter, or of one room, can never overlap.

PostgreSQL has exclusion constraints for this; SQLite gets triggers that say the same. Times are
half-open. The message names the constraint, so that a caller can tell which of the two it was.
"""

from django.db import migrations

HOLDING = "('booked', 'arrived', 'kept')"
WHAT = ("fitter", "room")

SQLITE = """
CREATE TRIGGER booking_{what}_{verb} BEFORE {VERB} ON fittings_booking
WHEN NEW.state IN {holding}
BEGIN
    SELECT RAISE(ABORT, 'no_double_booking_of_{what}') WHERE EXISTS (
        SELECT 1 FROM fittings_booking AS other
        WHERE other.{what}_id = NEW.{what}_id AND other.id <> NEW.id
          AND other.state IN {holding}
          AND other.starts_at < NEW.ends_at AND NEW.starts_at < other.ends_at
    );
END
"""
POSTGRES = """
ALTER TABLE fittings_booking ADD CONSTRAINT no_double_booking_of_{what}
EXCLUDE USING gist ({what}_id WITH =, tstzrange(starts_at, ends_at, '[)') WITH &&)
WHERE (state IN {holding})
"""


def forward(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("CREATE EXTENSION IF NOT EXISTS btree_gist")
        for what in WHAT:
            schema_editor.execute(POSTGRES.format(what=what, holding=HOLDING), params=None)
        return
    for what in WHAT:
        for verb in ("insert", "update"):
            sql = SQLITE.format(what=what, verb=verb, VERB=verb.upper(), holding=HOLDING)
            schema_editor.execute(sql, params=None)


def backward(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for what in WHAT:
        if postgres:
            schema_editor.execute(
                f"ALTER TABLE fittings_booking DROP CONSTRAINT no_double_booking_of_{what}"
            )
            continue
        for verb in ("insert", "update"):
            schema_editor.execute(f"DROP TRIGGER booking_{what}_{verb}")


class Migration(migrations.Migration):
    dependencies = [("fittings", "0002_append_only")]
    operations = [migrations.RunPython(forward, backward)]
