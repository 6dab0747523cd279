"""What customers wish otherwise, and garments measured: both are only added to."""

import customers.fields
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["garments_garmentwish", "garments_finishedmeasure"])


class Migration(migrations.Migration):

    dependencies = [
        ('garments', '0004_cut_figures'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='FinishedMeasure',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('point', models.CharField(max_length=40)),
                ('side', models.CharField(blank=True, default='', max_length=1)),
                ('value', customers.fields.LengthField()),
                ('where', models.CharField(choices=[('board', 'on the board'), ('body', 'on the customer')], default='board', max_length=10)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='finished_measures', to='garments.garment')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='garments.finishedmeasure')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['garment', 'point', 'side', 'at'], name='garments_fi_garment_5f8b9f_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('value__gt', 0)), name='finished_measure_is_positive')],
            },
        ),
        migrations.CreateModel(
            name='GarmentWish',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('point', models.CharField(max_length=40)),
                ('amount', customers.fields.LengthField()),
                ('note', models.CharField(blank=True, default='', max_length=300)),
                ('accepted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='wishes', to='garments.garment')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='garments.garmentwish')),
            ],
            options={
                'verbose_name_plural': 'garment wishes',
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['garment', 'at'], name='garments_ga_garment_506915_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
