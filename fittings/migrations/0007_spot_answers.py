"""What tests on the spot answered, in a guarded table."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_spotanswer"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0006_lessons'),
        ('garments', '0007_before_the_shears'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='SpotAnswer',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('test', models.CharField(max_length=60)),
                ('yes', models.BooleanField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('fitting', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='spot_answers', to='fittings.fitting')),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='spot_answers', to='garments.garment')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.spotanswer')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['fitting', 'garment'], name='fittings_sp_fitting_ab10bc_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
