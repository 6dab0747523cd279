"""The record of garments is only added to."""

from django.db import migrations

from customers.triggers import guard

forward, backward = guard(
    [
        "garments_cutversion",
        "garments_stageentry",
        "garments_inlaymovement",
        "garments_remake",
        "garments_alteration",
        "garments_ticket",
        "garments_ticketrevision",
        "garments_ticketline",
        "garments_answer",
    ]
)


class Migration(migrations.Migration):
    dependencies = [("garments", "0001_initial")]
    operations = [migrations.RunPython(forward, backward)]
