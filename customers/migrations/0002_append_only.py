"""The record of customers is only added to; the house's one row of settings exists."""

from django.db import migrations

from customers.triggers import guard

forward, backward = guard(
    ["customers_consent", "customers_measurementset", "customers_measurement"]
)


def make_house(apps, _schema_editor):
    apps.get_model("customers", "House").objects.get_or_create(pk=1)


class Migration(migrations.Migration):
    dependencies = [("customers", "0001_initial")]
    operations = [
        migrations.RunPython(forward, backward),
        migrations.RunPython(make_house, migrations.RunPython.noop),  # the row may stay
    ]
