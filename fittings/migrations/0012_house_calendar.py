"""Opening hours, closures, absences and the holidays kept, all in guarded tables."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(
    [
        "fittings_absence",
        "fittings_closure",
        "fittings_holidayrule",
        "fittings_openinghours",
    ]
)


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0011_post'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='HolidayRule',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('country', models.CharField(blank=True, default='', max_length=2)),
                ('subdivision', models.CharField(blank=True, default='', max_length=40)),
                ('open_anyway', models.JSONField(blank=True, default=list)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.holidayrule')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Absence',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('kind', models.CharField(choices=[('leave', 'on leave'), ('away', 'away'), ('travelling', 'travelling for the house'), ('training', 'learning elsewhere')], default='leave', max_length=12)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='absences', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.absence')),
            ],
            options={
                'ordering': ['first', 'at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['last', 'first'], name='fittings_ab_last_6a6c67_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='absence_ends_after_it_starts')],
            },
        ),
        migrations.CreateModel(
            name='Closure',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('reason', models.CharField(max_length=80)),
                ('repeats', models.CharField(blank=True, choices=[('', 'once'), ('weekly', 'every week'), ('yearly', 'every year')], default='', max_length=10)),
                ('until', models.DateField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.closure')),
            ],
            options={
                'ordering': ['first', 'at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='closure_ends_after_it_starts')],
            },
        ),
        migrations.CreateModel(
            name='OpeningHours',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('weekday', models.PositiveSmallIntegerField()),
                ('opens', models.TimeField(blank=True, null=True)),
                ('closes', models.TimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.openinghours')),
            ],
            options={
                'verbose_name_plural': 'opening hours',
                'ordering': ['at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('closes__isnull', True), ('opens__isnull', True)), models.Q(('closes__gt', models.F('opens')), ('closes__isnull', False), ('opens__isnull', False)), _connector='OR'), name='weekday_closes_after_it_opens'), models.CheckConstraint(condition=models.Q(('weekday__lte', 6)), name='weekday_is_one_of_seven')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
