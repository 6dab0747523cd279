"""Counts of what a row of a list holds, so that thousands are added up without reading them."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0018_owner_letters'),
    ]

    operations = [
        migrations.AddField(
            model_name='uploadrow',
            name='doubts',
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='uploadrow',
            name='found',
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='uploadrow',
            name='measures',
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='uploadrow',
            name='ordered',
            field=models.BooleanField(default=False),
        ),
    ]
