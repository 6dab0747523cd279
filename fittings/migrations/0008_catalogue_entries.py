"""What the house says of the catalogue's rows, in a guarded table."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_catalogueentry"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0007_spot_answers'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='CatalogueEntry',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('number', models.PositiveIntegerField(unique=True)),
                ('edit', models.UUIDField(db_index=True)),
                ('table', models.CharField(choices=[('fault', 'fault'), ('cause', 'cause'), ('link', 'link'), ('remedy', 'remedy')], max_length=10)),
                ('key', models.CharField(max_length=400)),
                ('data', models.JSONField(default=dict)),
                ('retired', models.BooleanField(default=False)),
                ('first', models.BooleanField(default=False)),
                ('why', models.CharField(max_length=300)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.catalogueentry')),
            ],
            options={
                'verbose_name_plural': 'catalogue entries',
                'ordering': ['number'],
                'indexes': [models.Index(fields=['table', 'key', 'number'], name='fittings_ca_table_8904cc_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
