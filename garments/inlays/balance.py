"""SQL for migrations: the movements of one seam and side never come to less than nothing.

On SQLite one writer goes at a time. On PostgreSQL two writers would each miss what the other has
not committed, so that the trigger first holds the garment's row; the sum is then read anew.
"""

from typing import Any, Final

REFUSAL: Final = "inlay: less than nothing in a seam"
_SUM: Final = """
SELECT COALESCE(SUM(m.amount), 0) FROM garments_inlaymovement m
WHERE m.garment_id = NEW.garment_id AND m.seam = NEW.seam AND m.side = NEW.side AND NOT m.void
AND NOT EXISTS (SELECT 1 FROM garments_inlaymovement s WHERE s.strikes_id = m.id)
"""
_SQLITE: Final = f"""
CREATE TRIGGER garments_inlay_not_below_nothing AFTER INSERT ON garments_inlaymovement
WHEN ({_SUM}) < 0
BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END
"""
_POSTGRES: Final = (
    f"""
CREATE FUNCTION garments_inlay_balance() RETURNS trigger AS $$
BEGIN
    PERFORM 1 FROM garments_garment WHERE id = NEW.garment_id FOR UPDATE;
    IF ({_SUM}) < 0 THEN
        RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NULL;
END $$ LANGUAGE plpgsql
""",
    """
CREATE TRIGGER garments_inlay_not_below_nothing AFTER INSERT ON garments_inlaymovement
FOR EACH ROW EXECUTE FUNCTION garments_inlay_balance()
""",
)


def keep_balance(_apps: Any, schema_editor: Any) -> None:
    postgres = schema_editor.connection.vendor == "postgresql"
    for statement in _POSTGRES if postgres else (_SQLITE,):
        schema_editor.execute(statement, params=None)


def drop_balance(_apps: Any, schema_editor: Any) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            "DROP TRIGGER garments_inlay_not_below_nothing ON garments_inlaymovement", params=None
        )
        schema_editor.execute("DROP FUNCTION garments_inlay_balance()", params=None)
    else:
        schema_editor.execute("DROP TRIGGER garments_inlay_not_below_nothing", params=None)
