"""What the owner asks of the review: which days, which garments, by what."""

import datetime
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import TextChoices

from fittings.clock import midnight
from garments.models import CutVersion

Group = int | str | datetime.date | None
Counts = dict[Group, tuple[int, int]]
Sums = dict[Group, tuple[int, int, int]]


class By(TextChoices):
    """What the rows of a table are."""

    CUTTER = "cutter", "cutter"
    FITTER = "fitter", "fitter of the first fitting"
    MAKER = "maker", "maker who first took its ticket"
    CUT = "cut", "cut and version"
    KIND = "kind", "kind of garment"
    CLOTH = "cloth", "pattern of the cloth"
    FAULT = "fault", "fault seen"
    MONTH = "month", "month"
    QUARTER = "quarter", "quarter"


TIMES = (By.MONTH, By.QUARTER)


def months_on(month: datetime.date, months: int = 1) -> datetime.date:
    """The first of the month so many months after the one that ``month`` lies in."""
    count = month.year * 12 + month.month - 1 + months
    return datetime.date(count // 12, count % 12 + 1, 1)


def key_of(group: Group) -> str:
    """A group as the address names it."""
    return "none" if group is None else str(group)


@dataclass(frozen=True, slots=True)
class Asked:
    """What the owner asked: both days included, in the house's time; None or "" means all."""

    since: datetime.date
    until: datetime.date
    by: By = By.CUTTER
    cutter: User | None = None
    cut: CutVersion | None = None
    kind: str = ""

    @property
    def start(self) -> datetime.datetime:
        return midnight(self.since)

    @property
    def end(self) -> datetime.datetime:
        """The first moment after the days asked about."""
        return midnight(self.until + datetime.timedelta(days=1))

    @property
    def months(self) -> list[datetime.date]:
        """The first of every month of the days asked about, those without a delivery too."""
        months, month = [], self.since.replace(day=1)
        while month <= self.until:
            months.append(month)
            month = months_on(month)
        return months
