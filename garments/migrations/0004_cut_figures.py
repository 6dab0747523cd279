"""A version of a cut keeps its figures. SQLite remakes the table: its guard is made again."""

from django.db import migrations, models

from customers.triggers import guard

make_guard, drop_guard = guard(["garments_cutversion"])


class Migration(migrations.Migration):
    dependencies = [("garments", "0003_frozen_sets")]
    operations = [
        migrations.RunPython(drop_guard, make_guard),
        migrations.AddField(
            model_name="cutversion",
            name="data",
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.RunPython(make_guard, drop_guard),
    ]
