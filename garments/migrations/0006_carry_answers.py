"""What is answered to the pattern's memory: only added to."""

import customers.fields
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["garments_carryanswer"])


class Migration(migrations.Migration):

    dependencies = [
        ('garments', '0005_wishes_and_finished_measures'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='CarryAnswer',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('operation', models.CharField(max_length=40)),
                ('seam', models.CharField(max_length=30)),
                ('side', models.CharField(blank=True, choices=[('', 'in all'), ('L', 'left'), ('R', 'right'), ('both', 'each side')], default='', max_length=4)),
                ('amount', customers.fields.LengthField()),
                ('accepted', models.BooleanField()),
                ('reason', models.CharField(blank=True, default='', max_length=300)),
                ('proposed', customers.fields.LengthField()),
                ('count', models.PositiveSmallIntegerField()),
                ('sureness', models.CharField(choices=[('sure', 'sure'), ('fairly', 'fairly sure'), ('unsure', 'not sure')], max_length=10)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('garment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='carry_answers', to='garments.garment')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='garments.carryanswer')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['garment', 'at'], name='garments_ca_garment_15feb3_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='carried_amount_is_positive'), models.CheckConstraint(condition=models.Q(('accepted', True), models.Q(('reason', ''), _negated=True), ('void', True), _connector='OR'), name='leaving_out_needs_a_reason')],
            },
        ),
        migrations.RunPython(forward, backward),
    ]
