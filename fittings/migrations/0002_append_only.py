"""The record of fittings is only added to."""

from django.db import migrations

from customers.triggers import guard

forward, backward = guard(
    [
        "fittings_bookingchange",
        "fittings_observation",
        "fittings_observation_alterations",
        "fittings_judgement",
        "fittings_decision",
        "fittings_photograph",
    ]
)


class Migration(migrations.Migration):
    dependencies = [("fittings", "0001_initial")]
    operations = [migrations.RunPython(forward, backward)]
