"""What was said at a fitting and is neither fault nor clean zone, in a guarded table."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_remark"])


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0008_catalogue_entries'),
        ('garments', '0007_before_the_shears'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Remark',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('text', models.CharField(max_length=2000)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('fitting', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='remarks', to='fittings.fitting')),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='remarks', to='garments.garment')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.remark')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['fitting', 'garment'], name='fittings_re_fitting_b47d42_idx'), models.Index(fields=['garment', 'at'], name='fittings_re_garment_5e7a04_idx')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
