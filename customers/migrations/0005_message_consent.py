"""Consent to messages: a word more among the choices; the database's column stays as it is."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0004_costs'),
    ]

    operations = [
        migrations.AlterField(
            model_name='consent',
            name='kind',
            field=models.CharField(choices=[('fitting-photographs', 'photographs for the workroom'), ('publicity', 'photographs shown to others'), ('messages', 'messages about fittings')], max_length=20),
        ),
    ]
