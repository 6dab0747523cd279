"""The town in which a customer is fitted when the house travels there."""

import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0005_message_consent'),
    ]

    operations = [
        migrations.AddField(
            model_name='customer',
            name='town',
            field=models.CharField(blank=True, default='', max_length=60, validators=[django.core.validators.RegexValidator('[<>\\x00-\\x1f\\x7f]', 'Leave out < and > and hidden characters.', inverse_match=True)]),
        ),
    ]
