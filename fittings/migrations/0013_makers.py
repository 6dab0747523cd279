"""Who makes, what the house's stages take and agreed overtime; the latter two guarded."""

import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_agreedovertime", "fittings_stagetime"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0012_house_calendar'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='AgreedOvertime',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('craft', models.CharField(choices=[('cutter', 'cutter'), ('coat-maker', 'coat maker'), ('trouser-maker', 'trouser maker'), ('finisher', 'finisher')], max_length=20)),
                ('minutes', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(720)])),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.agreedovertime')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='overtime_ends_after_it_starts')],
            },
        ),
        migrations.CreateModel(
            name='Maker',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
                ('craft', models.CharField(choices=[('cutter', 'cutter'), ('coat-maker', 'coat maker'), ('trouser-maker', 'trouser maker'), ('finisher', 'finisher')], max_length=20)),
                ('minutes', models.PositiveSmallIntegerField(default=420, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(720)])),
                ('since', models.DateField(default=django.utils.timezone.localdate)),
                ('until', models.DateField(blank=True, null=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('user', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='benches', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['craft', 'name', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('until__isnull', True), ('until__gte', models.F('since')), _connector='OR'), name='maker_leaves_after_coming')],
            },
        ),
        migrations.CreateModel(
            name='StageTime',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('kind', models.CharField(choices=[('coat', 'coat'), ('waistcoat', 'waistcoat'), ('trousers', 'trousers'), ('overcoat', 'overcoat')], max_length=10)),
                ('stage', models.CharField(max_length=30)),
                ('minutes', models.PositiveIntegerField(validators=[django.core.validators.MaxValueValidator(20000)])),
                ('wait_days', models.PositiveIntegerField(validators=[django.core.validators.MaxValueValidator(366)])),
                ('reason', models.CharField(max_length=200)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.stagetime')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['kind', 'stage'], name='fittings_st_kind_18605e_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
