"""The cloth of a garment, and what is passed over before it is cut: the latter only added to."""

import customers.fields
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["garments_passedline"])


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0002_append_only'),
        ('garments', '0006_carry_answers'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='garment',
            name='cloth_length',
            field=customers.fields.LengthField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='garment',
            name='cloth_repeat',
            field=customers.fields.LengthField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='garment',
            name='cloth_width',
            field=customers.fields.LengthField(blank=True, null=True),
        ),
        migrations.CreateModel(
            name='PassedLine',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('line', models.CharField(max_length=60)),
                ('told', models.CharField(max_length=500)),
                ('reason', models.CharField(max_length=300)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='passed_lines', to='garments.garment')),
                ('measurement_set', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='customers.measurementset')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='garments.passedline')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['garment', 'at'], name='garments_pa_garment_ccdf1f_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='passing_a_line_needs_a_reason')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
