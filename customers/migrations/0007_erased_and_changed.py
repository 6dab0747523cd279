"""When a customer was erased, and who changed which of their columns (guarded)."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["customers_changed"])


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0006_travelling'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='customer',
            name='erased_at',
            field=models.DateTimeField(editable=False, null=True),
        ),
        migrations.CreateModel(
            name='Changed',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('about', models.CharField(max_length=20)),
                ('columns', models.CharField(max_length=300)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('customer', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='changes', to='customers.customer')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='customers.changed')),
            ],
            options={
                'verbose_name_plural': 'changed',
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['customer', 'at'], name='customers_c_custome_f533f2_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
