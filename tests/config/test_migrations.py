"""A house that was brought up to date can go back: no migration is one-way."""

import pytest
from django.db.migrations.loader import MigrationLoader

OURS = ("customers", "garments", "fittings")
MIGRATIONS = {
    f"{app} {name}": migration
    for (app, name), migration in MigrationLoader(None).disk_migrations.items()
    if app in OURS
}


@pytest.mark.parametrize("name", sorted(MIGRATIONS))
def test_every_step_of_a_migration_goes_back(name):
    one_way = [step for step in MIGRATIONS[name].operations if not step.reversible]

    assert one_way == []
