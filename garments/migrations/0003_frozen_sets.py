"""A set of measures that a garment was cut from is frozen: no newer set may strike it."""

from django.db import migrations

SQLITE = """
CREATE TRIGGER customers_measurementset_frozen BEFORE INSERT ON "customers_measurementset"
WHEN NEW.strikes_id IS NOT NULL AND EXISTS (
    SELECT 1 FROM "garments_garment" WHERE measurement_set_id = NEW.strikes_id)
BEGIN SELECT RAISE(ABORT, 'ledger: a garment was cut from the set'); END
"""
POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION ledger_frozen_set() RETURNS trigger AS $$
BEGIN
    IF EXISTS (SELECT 1 FROM garments_garment WHERE measurement_set_id = NEW.strikes_id) THEN
        RAISE EXCEPTION 'ledger: a garment was cut from the set'
            USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NEW;
END $$ LANGUAGE plpgsql
"""
POSTGRES = """
CREATE TRIGGER customers_measurementset_frozen BEFORE INSERT ON "customers_measurementset"
FOR EACH ROW WHEN (NEW.strikes_id IS NOT NULL) EXECUTE FUNCTION ledger_frozen_set()
"""
NAME = "customers_measurementset_frozen"


def forward(_apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    for sql in (POSTGRES_FUNCTION, POSTGRES) if postgres else (SQLITE,):
        schema_editor.execute(sql, params=None)


def backward(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(f'DROP TRIGGER {NAME} ON "customers_measurementset"', params=None)
        schema_editor.execute("DROP FUNCTION ledger_frozen_set()", params=None)
    else:
        schema_editor.execute(f"DROP TRIGGER {NAME}", params=None)


class Migration(migrations.Migration):
    dependencies = [("garments", "0002_append_only"), ("customers", "0002_append_only")]
    operations = [migrations.RunPython(forward, backward)]
