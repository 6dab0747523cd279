"""Hours of an absence, and whether messages go out on closed days.

SQLite makes a table with a new check anew and loses its triggers: the guard is laid again.
"""

from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_absence"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0025_keys'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(backward, forward),
        migrations.AddField(
            model_name='absence',
            name='since',
            field=models.TimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='absence',
            name='until',
            field=models.TimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='postrules',
            name='on_closed_days',
            field=models.BooleanField(default=False),
        ),
        migrations.AddConstraint(
            model_name='absence',
            constraint=models.CheckConstraint(condition=models.Q(('since__isnull', True), ('until__isnull', True), ('until__gt', models.F('since')), _connector='OR'), name='absent_hours_end_after_they_start'),
        ),
        migrations.RunPython(forward, backward),
    ]
