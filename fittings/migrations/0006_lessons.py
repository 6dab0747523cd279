"""What was learnt, and what shall not be learnt from; the latter in a guarded table."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_omission"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0005_cause_taken'),
        ('garments', '0006_carry_answers'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Lessons',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('before', models.DateField()),
                ('made_at', models.DateTimeField(auto_now=True)),
                ('cases', models.PositiveIntegerField(default=0)),
                ('figures', models.JSONField(default=list)),
                ('calibration', models.JSONField(default=dict)),
            ],
            options={
                'verbose_name_plural': 'lessons',
            },
        ),
        migrations.CreateModel(
            name='Omission',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('cause', models.CharField(blank=True, default='', max_length=40)),
                ('fault', models.CharField(blank=True, default='', max_length=60)),
                ('operation', models.CharField(blank=True, default='', max_length=40)),
                ('kind', models.CharField(blank=True, default='', max_length=10)),
                ('note', models.CharField(blank=True, default='', max_length=300)),
                ('alteration', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='omissions', to='garments.alteration')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.omission')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(('alteration__isnull', True), ('cause', ''), _connector='XOR'), name='omission_of_a_case_or_a_figure')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
