"""Erasures and their way past the guards, the rule of retention, and who has seen whom."""

import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard
from fittings.privacy.way_past import close_way, guard_seen, open_way, unguard_seen

forward, backward = guard(["fittings_erasure", "fittings_redacted", "fittings_retentionrule"])


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0007_erased_and_changed'),
        ('fittings', '0026_hours_away'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Erasure',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('reason', models.CharField(choices=[('asked', 'they asked for it'), ('kept-long-enough', "kept as long as the house's rule says"), ('mistake', 'it should never have been kept')], max_length=20)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('customer', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='erasure', to='customers.customer')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.erasure')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='RetentionRule',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('years', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(100)])),
                ('photograph_months', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(1200)])),
                ('alone', models.BooleanField(default=False)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.retentionrule')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Redacted',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('held_in', models.CharField(max_length=60)),
                ('row_key', models.CharField(max_length=40)),
                ('erasure', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='redacted', to='fittings.erasure')),
            ],
            options={
                'verbose_name_plural': 'redacted',
                'constraints': [models.UniqueConstraint(fields=('held_in', 'row_key'), name='a_row_is_redacted_once')],
            },
        ),
        migrations.CreateModel(
            name='Seen',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('customer', models.BigIntegerField(null=True)),
                ('page', models.CharField(max_length=60)),
                ('refused', models.BooleanField(default=False)),
                ('mark', models.CharField(max_length=120, unique=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'seen',
                'indexes': [models.Index(fields=['at'], name='fittings_se_at_aabd56_idx'), models.Index(fields=['customer', 'at'], name='fittings_se_custome_7c5dc7_idx'), models.Index(fields=['by', 'at'], name='fittings_se_by_id_c2e3e4_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
        migrations.RunPython(guard_seen, unguard_seen),
        migrations.RunPython(open_way, close_way),
    ]
