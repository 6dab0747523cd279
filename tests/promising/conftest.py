import pytest

from fittings.models import OpeningHours
from fittings.promise import CRAFTS
from tests.factories.customers import UserFactory
from tests.factories.fittings import MakerFactory

SUNDAY = 6


@pytest.fixture
def makers(db):
    """One maker for each craft, in a house that is closed on Sundays."""
    OpeningHours.objects.create(weekday=SUNDAY, by=UserFactory())
    return {craft: MakerFactory(craft=craft, name=craft) for craft in CRAFTS}
