"""Who waits for an earlier time and who is called again, in guarded tables."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_callback", "fittings_waiting"])


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0005_message_consent'),
        ('fittings', '0016_lists_brought_in'),
        ('garments', '0010_fitters_reply'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='CallBack',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('on', models.DateField()),
                ('note', models.CharField(blank=True, default='', max_length=200)),
                ('booking', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='call_backs', to='fittings.booking')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.callback')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['booking', 'at'], name='fittings_ca_booking_cd6e2d_idx')],
            },
        ),
        migrations.CreateModel(
            name='Waiting',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('purpose', models.CharField(choices=[('measure', 'measuring'), ('first-fitting', 'first fitting'), ('forward-fitting', 'forward fitting'), ('final-look', 'final look'), ('return-look', 'look at a returned garment')], max_length=20)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('since', models.TimeField(blank=True, null=True)),
                ('until', models.TimeField(blank=True, null=True)),
                ('note', models.CharField(blank=True, default='', max_length=200)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('customer', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='waits', to='customers.customer')),
                ('fitter', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('garments', models.ManyToManyField(blank=True, related_name='waits', to='garments.garment')),
                ('given', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fittings.booking')),
                ('instead_of', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='waits', to='fittings.booking')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.waiting')),
            ],
            options={
                'verbose_name_plural': 'waiting',
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['last', 'first'], name='fittings_wa_last_a0849a_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='waiting_ends_after_it_starts')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
