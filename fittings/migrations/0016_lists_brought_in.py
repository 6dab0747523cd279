"""Lists brought in, what imports wrote (guarded), and the way back for an import as a whole."""

import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard
from fittings.bringing.way_back import close_way, open_way

forward, backward = guard(["fittings_import", "fittings_brought"])


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0005_message_consent'),
        ('fittings', '0015_review_recounts'),
        ('garments', '0010_fitters_reply'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Import',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('name', models.CharField(max_length=120)),
                ('digest', models.CharField(db_index=True, max_length=64)),
                ('counts', models.JSONField(default=dict)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.import')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Brought',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('row', models.PositiveIntegerField()),
                ('customer', models.BigIntegerField(db_index=True, null=True)),
                ('measurement_set', models.UUIDField(db_index=True, null=True)),
                ('garment', models.BigIntegerField(db_index=True, null=True)),
                ('number', models.CharField(blank=True, default='', max_length=20)),
                ('import_entry', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='brought', to='fittings.import')),
            ],
            options={
                'verbose_name_plural': 'things brought',
                'ordering': ['row', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Upload',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('name', models.CharField(max_length=120)),
                ('digest', models.CharField(max_length=64)),
                ('content', models.BinaryField()),
                ('encoding', models.CharField(max_length=20)),
                ('delimiter', models.CharField(max_length=1)),
                ('rows', models.PositiveIntegerField()),
                ('columns', models.JSONField(default=list)),
                ('answers', models.JSONField(default=dict)),
                ('mapped', models.BooleanField(default=False)),
                ('checked', models.PositiveIntegerField(default=0)),
                ('version', models.PositiveIntegerField(default=1)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-at'],
            },
        ),
        migrations.CreateModel(
            name='UploadRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('row', models.PositiveIntegerField()),
                ('outcome', models.CharField(choices=[('new', 'new customer'), ('joins', 'joins a customer of the ledger'), ('again', 'same customer as an earlier row'), ('asks', 'perhaps known: you choose'), ('wrong', 'something is wrong')], max_length=5)),
                ('plan', models.JSONField(default=dict)),
                ('findings', models.JSONField(default=list)),
                ('known', models.JSONField(default=dict)),
                ('proposals', models.JSONField(default=list)),
                ('customer', models.BigIntegerField(null=True)),
                ('first', models.PositiveIntegerField(null=True)),
                ('choice', models.CharField(blank=True, default='', max_length=30)),
                ('digest', models.CharField(max_length=32)),
                ('upload', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rows_read', to='fittings.upload')),
            ],
            options={
                'ordering': ['row'],
                'constraints': [models.UniqueConstraint(fields=('upload', 'row'), name='one_reading_of_a_row')],
            },
        ),
        migrations.RunPython(forward, backward),
        migrations.RunPython(open_way, close_way),
    ]
