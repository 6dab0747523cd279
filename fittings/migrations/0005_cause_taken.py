"""What the fitter takes to be behind the faults, in a guarded table."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_causetaken"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0004_roles'),
        ('garments', '0005_wishes_and_finished_measures'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='CauseTaken',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('cause', models.CharField(blank=True, db_index=True, default='', max_length=40)),
                ('words', models.CharField(blank=True, default='', max_length=300)),
                ('proposed', models.JSONField(blank=True, default=dict)),
                ('catalogue', models.CharField(blank=True, default='', max_length=40)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('fitting', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='causes_taken', to='fittings.fitting')),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='causes_taken', to='garments.garment')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.causetaken')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['fitting', 'garment'], name='fittings_ca_fitting_ad7f62_idx'), models.Index(fields=['garment', 'at'], name='fittings_ca_garment_43f1ed_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('cause', ''), ('words', ''), _connector='XOR'), name='cause_taken_by_key_or_in_words')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
