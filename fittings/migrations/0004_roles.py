"""The four groups of the house."""

from django.db import migrations

ROLES = ("front of house", "fitter", "workroom", "owner")


def make_groups(apps, _schema_editor):
    group = apps.get_model("auth", "Group")
    for name in ROLES:
        group.objects.get_or_create(name=name)


class Migration(migrations.Migration):
    dependencies = [
        ("fittings", "0003_no_double_booking"),
        ("auth", "0012_alter_user_first_name_max_length"),
    ]
    # Groups may hold people by the time anyone goes back: they stay.
    operations = [migrations.RunPython(make_groups, migrations.RunPython.noop)]
