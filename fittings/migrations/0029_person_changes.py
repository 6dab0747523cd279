"""What was changed of the people of the house, as entries."""

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_personchange"])


class Migration(migrations.Migration):
    dependencies = [
        ("fittings", "0028_month_marks"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]
    operations = [
        migrations.CreateModel(
            name="PersonChange",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("at", models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ("void", models.BooleanField(default=False)),
                ("said", models.CharField(max_length=300)),
                ("by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("person", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="changes", to=settings.AUTH_USER_MODEL)),
                ("strikes", models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="struck_by", to="fittings.personchange")),
            ],
            options={"ordering": ["at", "id"], "abstract": False},
        ),
        migrations.RunPython(forward, backward),
    ]
