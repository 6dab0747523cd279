"""The fitter may answer what the bench asks: one more kind, no change of the table."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('garments', '0009_inlay_balance'),
    ]

    operations = [
        migrations.AlterField(
            model_name='answer',
            name='kind',
            field=models.CharField(choices=[('taken', 'taken in hand'), ('done', 'done'), ('cannot', 'sent back: cannot be done'), ('asks', 'asks the fitter'), ('replied', 'answered by the fitter')], max_length=10),
        ),
    ]
