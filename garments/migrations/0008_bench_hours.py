"""How long the bench works on each weekday: only added to."""

import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["garments_benchhours"])


class Migration(migrations.Migration):

    dependencies = [
        ('garments', '0007_before_the_shears'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='BenchHours',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('monday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('tuesday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('wednesday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('thursday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('friday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('saturday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('sunday', models.PositiveIntegerField(default=0, validators=[django.core.validators.MaxValueValidator(57600)])),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='garments.benchhours')),
            ],
            options={
                'verbose_name_plural': 'bench hours',
                'ordering': ['at', 'id'],
                'abstract': False,
            },
        ),
        migrations.RunPython(forward, backward),
    ]
