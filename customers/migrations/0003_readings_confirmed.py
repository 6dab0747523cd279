"""Readings in doubt that someone says are right: only added to."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["customers_readingconfirmed"])


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0002_append_only'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='ReadingConfirmed',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('point', models.CharField(max_length=40)),
                ('side', models.CharField(blank=True, default='', max_length=1)),
                ('question', models.CharField(max_length=500)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('in_set', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='readings_confirmed', to='customers.measurementset')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='customers.readingconfirmed')),
            ],
            options={
                'verbose_name_plural': 'readings confirmed',
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['in_set', 'point', 'side'], name='customers_r_in_set__bc328d_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
