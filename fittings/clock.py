"""The house's own clock, for rooms that ask by the day."""

import datetime

from django.utils import timezone


def midnight(day: datetime.date) -> datetime.datetime:
    """When the day begins by the house's clock."""
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time.min))
