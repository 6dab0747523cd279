"""The month on one page: what changed, what did not, what to look at, promises at risk."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from customers.models import House
from customers.paper import render_paper
from fittings.clock import midnight
from fittings.promise import PromiseError
from fittings.promising.queries import has_makers, named, read_promises
from fittings.rates import (
    Difference,
    MonthlyChart,
    Proportion,
    difference,
    monthly_chart,
    proportion,
    stand_out,
)
from fittings.rates.standing_out import FALSE_ALARMS
from fittings.review.addresses import behind, behind_months
from fittings.review.asking import Asked, By, months_on
from fittings.review.facts import Monthly
from fittings.review.labels import HEADINGS, name_groups
from fittings.review.measures import RATES, REMAKES, RETURNS, Measure, watched_out
from fittings.review.pictures import Picture, month_picture
from fittings.review.sheets import Share, Sheet, SheetCell
from fittings.review.tables import answer
from fittings.review.totals import added, by_group, by_month, named_months
from fittings.review.why import costs_of
from garments.models import IN_WORK, Garment, Stage

MONTHS_BEFORE = 12
# Where nobody said who makes, a garment not yet finished this near to its day is at risk. Common
# practice, no source.
NEAR = datetime.timedelta(days=14)
DONE = (Stage.FINISHED, Stage.FINAL_LOOK, Stage.RETURNED)
TO_FINISH = [stage for stage in IN_WORK if stage not in DONE]
MOST_PROMISES = 8
MOST_LINES, MOST_USUAL = 6, 2  # things to look at: on one sheet, and in the usual type
# The newest month can be told of all else; of these only months whose watch is over.
WATCHED = (REMAKES, RETURNS)


@dataclass(frozen=True, slots=True)
class Promises:
    """Open promises at risk, the most pressing, and how many ``more`` there are."""

    sheet: Sheet
    more: int


@dataclass(frozen=True, slots=True)
class Letter:
    """Everything the letter says. ``watched`` is the month that remakes and returns tell of."""

    house: str
    month: str
    watched: str
    rates: Sheet
    changed: list[str]
    same: list[str]
    look_at: list[str]
    promises: Promises
    costs: Sheet
    costs_said: str
    picture: Picture

    @property
    def full(self) -> bool:
        """Whether there is so much to look at that only smaller type keeps it to one sheet."""
        return len(self.look_at) > MOST_USUAL

    @property
    def sheets(self) -> list[Sheet]:
        return [self.rates, self.promises.sheet, self.costs]

    @property
    def drawn_as(self) -> str:
        """A name under which the drawing of the figures is kept: all that it shows."""
        shown = (self.rates.lines, self.changed, self.same, self.look_at, self.picture)
        return sha256(repr(shown).encode()).hexdigest()


def write_letter(
    month: datetime.date, now: datetime.datetime, promises: Promises | None = None
) -> Letter:
    """The letter of the month that begins on ``month``: as many statements whatever the data.

    ``promises`` are those of ``promises_at_risk`` where they were asked for already.
    """
    asked = asked_of(month)
    years = {measure: _year_of(measure, month, now) for measure in RATES}
    answers = {year: answer(year, now) for year in set(years.values())}
    found = {measure: answers[year].monthly(measure) for measure, year in years.items()}
    lines: list[list[SheetCell]] = []
    links = [behind(measure, asked_of(year.months[-1])) for measure, year in years.items()]
    changed: list[str] = []
    same: list[str] = []
    for measure, year in years.items():
        told = year.months[-1]
        this, before = (proportion(*pair) for pair in _this_and_before(found[measure], told))
        apart = difference(this, before)
        lines.append(_rate_line(measure, told, this, before, apart))
        (changed if apart.real else same).append(_sentence(measure, this, before, apart))
    house = House.get()
    costs, costs_said = costs_of(asked, now, house, asked)
    chart = monthly_chart(named_months(found[RETURNS], years[RETURNS]))
    return Letter(
        house.name,
        f"{month:%B %Y}",
        f"{years[RETURNS].months[-1]:%B %Y}",
        Sheet("rates", "The month in figures", RATE_COLUMNS, lines, links),
        changed,
        same,
        _look_at(found, years)[:MOST_LINES],
        promises or promises_at_risk(now),
        costs,
        costs_said,
        month_picture(chart, behind_months(RETURNS, years[RETURNS]), "Returns"),
    )


def print_letter(letter: Letter) -> bytes:
    """One A4 page."""
    html = render_to_string("review/letter_paper.html", {"letter": letter})
    return render_paper(html, "print/letter.css")


def asked_of(month: datetime.date) -> Asked:
    return Asked(month, months_on(month) - datetime.timedelta(days=1))


RATE_COLUMNS = (
    "What",
    "Month",
    "Counted",
    "Among",
    "Rate",
    "Twelve months before",
    "Among them",
    "Their rate",
    "Difference",
)


def _year_of(measure: Measure, month: datetime.date, now: datetime.datetime) -> Asked:
    """Thirteen months up to the newest that can be told: for some the watch must be over."""
    last = month
    while measure in WATCHED and midnight(months_on(last)) > watched_out(now):
        last = months_on(last, -1)
    return Asked(months_on(last, -MONTHS_BEFORE), asked_of(last).until, By.CUTTER)


def _this_and_before(
    found: Monthly, month: datetime.date
) -> tuple[tuple[int, int], tuple[int, int]]:
    sums = by_month(found)
    this = sums.pop(month, (0, 0))
    return this, added(sums.values())


def _rate_line(
    measure: Measure,
    month: datetime.date,
    this: Proportion,
    before: Proportion,
    apart: Difference,
) -> list[SheetCell]:
    line: list[SheetCell] = [measure.title, f"{month:%Y-%m}"]
    for figure in (this, before):
        line += [figure.k, figure.n, Share(None if figure.too_few else figure.rate)]
    return [*line, apart.words()]


def _sentence(measure: Measure, this: Proportion, before: Proportion, apart: Difference) -> str:
    counts = f"{measure.title}: {this.k} of {this.n}, in the year before {before.k} of {before.n}"
    return f"{counts}; {apart.words()}."


def _look_at(
    found: dict[Measure, Monthly],
    years: dict[Measure, Asked],
) -> list[str]:
    """Whoever stands out over the thirteen months, and months beyond their limits."""
    said = []
    counted = {measure: by_group(found[measure]) for measure in RATES}
    names = name_groups(By.CUTTER, {key for counts in counted.values() for key in counts})
    for measure, counts in counted.items():
        # Every rate is a chance to be misled: the letter as a whole keeps to the one limit.
        named = {names[key]: counts[key] for key in counts}
        standings = stand_out(named, FALSE_ALARMS / len(RATES))
        said += [
            f"{measure.title}, {HEADINGS[By.CUTTER].lower()} {row.name}: {row.k} of {row.n}, "
            f"{row.says}."
            for row in standings
            if row.different
        ]
        chart: MonthlyChart = monthly_chart(named_months(found[measure], years[measure]))
        said += [f"{measure.title}, {signal}" for signal in chart.signals]
    return said


def promises_at_risk(now: datetime.datetime) -> Promises:
    """As they stand this moment: the work in hand changes all day, what was counted does not."""
    first, count = _at_risk(now)
    return Promises(_promise_sheet(first, now.date()), count - len(first))


def _at_risk(now: datetime.datetime) -> tuple[list[tuple[Garment, str]], int]:
    """The most pressing with why, and how many there are.

    Those the plan calls late or tight; by the fortnight where nobody makes.
    """
    if has_makers():
        try:
            risks = read_promises(timezone.localdate(now)).risks
        except PromiseError:
            pass  # what cannot be planned at all is told by the plainer rule
        else:
            why = {key: f"{one.step}: {one.reason}" for key, one in risks.items() if one.open}
            first = named(list(why)[:MOST_PROMISES])
            return [(garment, why[key]) for key, garment in first.items()], len(why)
    near = _unfinished_and_near(now)
    return [(garment, garment.get_stage_display()) for garment in near[:MOST_PROMISES]], len(near)


def _unfinished_and_near(now: datetime.datetime) -> list[Garment]:
    rows = Garment.objects.only("number", "kind", "promised_on", "stage").filter(
        stage__in=TO_FINISH, promised_on__lte=(now + NEAR).date()
    )
    return list(rows.order_by("promised_on", "serial"))


def _promise_sheet(at_risk: Sequence[tuple[Garment, str]], today: datetime.date) -> Sheet:
    lines: list[list[SheetCell]] = [
        [
            garment.number,
            garment.get_kind_display().capitalize(),
            str(garment.promised_on),
            (garment.promised_on - today).days if garment.promised_on else None,
            why,
        ]
        for garment, why in at_risk
    ]
    columns = ["Garment", "Kind", "Promised for", "Days left", "Why"]
    links = [reverse("folios:garment_folio", args=[garment.number]) for garment, _ in at_risk]
    return Sheet("promises", "Promises at risk", columns, lines, links)
