"""Places in another town, trips to them and what of those was called off, in guarded tables."""

import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_trip", "fittings_tripcalledoff"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0021_photograph_views'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='room',
            name='address',
            field=models.TextField(blank=True, default='', max_length=300),
        ),
        migrations.AddField(
            model_name='room',
            name='town',
            field=models.CharField(blank=True, default='', max_length=60),
        ),
        migrations.CreateModel(
            name='Trip',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('repeats', models.CharField(blank=True, choices=[('', 'once'), ('weekly', 'every so many weeks'), ('monthly', 'every month, on the same weekday of it')], default='', max_length=10)),
                ('every', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(26)])),
                ('until', models.DateField(blank=True, null=True)),
                ('opens', models.TimeField()),
                ('closes', models.TimeField()),
                ('there', models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(1440)])),
                ('back', models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(1440)])),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('fitters', models.ManyToManyField(related_name='trips', to=settings.AUTH_USER_MODEL)),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='trips', to='fittings.room')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.trip')),
            ],
            options={
                'ordering': ['first', 'at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='TripCalledOff',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('first', models.DateField()),
                ('onwards', models.BooleanField(default=False)),
                ('reason', models.CharField(max_length=200)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.tripcalledoff')),
                ('trip', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='called_off', to='fittings.trip')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
            },
        ),
        migrations.AddConstraint(
            model_name='trip',
            constraint=models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='trip_ends_after_it_starts'),
        ),
        migrations.AddConstraint(
            model_name='trip',
            constraint=models.CheckConstraint(condition=models.Q(('closes__gt', models.F('opens'))), name='trip_closes_after_it_opens'),
        ),
        migrations.AddIndex(
            model_name='tripcalledoff',
            index=models.Index(fields=['trip', 'at'], name='fittings_tr_trip_id_58002b_idx'),
        ),
        migrations.RunPython(forward, backward),
    ]
