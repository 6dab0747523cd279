"""A garment keeps what was promised when it was first delivered.

Of those delivered before nobody wrote it down: the promise they have now is the best that is known.
"""

from django.db import migrations, models
from django.db.models import Exists, F, OuterRef


def keep(apps, _schema_editor):
    entries = apps.get_model("garments", "StageEntry").objects
    delivered = entries.filter(
        garment=OuterRef("pk"), stage="delivered", void=False, struck_by__isnull=True
    )
    garments = apps.get_model("garments", "Garment").objects.filter(Exists(delivered))
    garments.update(promised_when_delivered=F("promised_on"))


class Migration(migrations.Migration):
    dependencies = [("garments", "0010_fitters_reply")]
    operations = [
        migrations.AddField(
            "garment",
            "promised_when_delivered",
            models.DateField(editable=False, null=True),
        ),
        migrations.RunPython(keep, migrations.RunPython.noop),
    ]
