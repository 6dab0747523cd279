"""One rate looked at closer: its months, its groups, what luck explains and what it cannot."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from operator import itemgetter

from fittings.rates import (
    MonthlyChart,
    Returning,
    Standing,
    compare,
    difference,
    drawn_rates,
    funnel,
    monthly_chart,
    more_to_name,
    proportion,
    returning,
    stand_out,
)
from fittings.rates.months import RULES
from fittings.review.addresses import behind, behind_groups, behind_months, behind_rows
from fittings.review.asking import TIMES, Asked, By, Counts, Group, key_of
from fittings.review.facts import monthly, out_so_long
from fittings.review.labels import HEADINGS, Names, name_groups
from fittings.review.measures import RETURNS, Measure
from fittings.review.pictures import (
    Picture,
    curve_picture,
    funnel_picture,
    month_picture,
)
from fittings.review.seeing import could_see
from fittings.review.sheets import Share, Sheet, SheetCell
from fittings.review.totals import added, by_group, named_months

KEPT = 100  # parts of each kind kept by their numbers
OVERLAP = (*TIMES, By.FAULT)  # rows that are no groups of garments apart from each other


@dataclass(frozen=True, slots=True)
class Closer:
    """Everything the page of one rate says; ``before`` compares with the days ``than``."""

    measure: Measure
    figure: str
    said: list[str]
    before: str
    than: Asked
    keys: list[tuple[str, str]]
    pair: str
    could_see: list[str]
    months: Sheet | None
    groups: Sheet | None
    curve: Sheet | None
    pictures: dict[str, Picture]
    rules: tuple[str, ...] = RULES

    @property
    def sheets(self) -> list[Sheet]:
        return [sheet for sheet in (self.groups, self.months, self.curve) if sheet is not None]


def look_closer(
    measure: Measure,
    asked: Asked,
    now: datetime.datetime,
    than: Asked | None = None,
    pair: tuple[str, str] = ("", ""),
) -> Closer:
    """Two statements (three for returns), whatever the data, and the names of the groups.

    ``than`` are the days to hold against, as many before where none are given; ``pair`` are two
    groups to hold against each other, by their keys in the address.
    """
    grouped = asked.by not in OVERLAP
    base = asked if grouped else replace(asked, by=By.KIND)
    found = monthly(measure, base, now)
    then = replace(than, by=base.by) if than else before(base)
    earlier = by_group(monthly(measure, then, now))
    counts = by_group(found)
    whole = added(counts.values())
    names = name_groups(base.by, set(counts))
    of = asked, behind(measure, asked)
    months = _months_told(measure, of, tuple(named_months(found, base)))
    pictures = {"months": months.picture}
    by_names = tuple((group, names[group], counts[group]) for group in counts)
    groups = _groups_told(measure, of, by_names) if grouped and counts else Told(None, None)
    if groups.picture:
        pictures["groups"] = groups.picture
    curve = Told(None, None)
    if measure is RETURNS:
        curve = _curve_told(of, tuple(out_so_long(base, now)))
        pictures["curve"] = curve.picture
    return Closer(
        measure,
        proportion(*whole).words(),
        [*groups.said, *(months.said or ["No month stands out."])],
        compare(proportion(*whole), proportion(*added(earlier.values()))),
        then,
        sorted(((key_of(group), names[group]) for group in counts), key=itemgetter(1))
        if groups.sheet
        else [],
        _held_against_each_other(counts, names, pair) if groups.sheet else "",
        list(groups.could_see),
        months.sheet,
        groups.sheet,
        curve.sheet,
        {key: picture for key, picture in pictures.items() if picture},
    )


@dataclass(frozen=True, slots=True)
class Told:
    """A part of the page: of the same question and numbers it is the same, and is drawn once."""

    sheet: Sheet | None
    picture: Picture | None
    said: Sequence[str] = ()
    could_see: Sequence[str] = ()


@lru_cache(maxsize=KEPT)
def _months_told(
    measure: Measure, of: tuple[Asked, str], months: Sequence[tuple[str, int, int]]
) -> Told:
    asked, _ = of
    chart, links = monthly_chart(months), behind_months(measure, asked)
    picture = month_picture(chart, links, measure.title)
    return Told(_month_sheet(measure, chart, links), picture, chart.signals)


@lru_cache(maxsize=KEPT)
def _groups_told(
    measure: Measure, of: tuple[Asked, str], named: Sequence[tuple[Group, str, tuple[int, int]]]
) -> Told:
    """Who stands out; one group alone has nobody to stand out from."""
    asked, _ = of
    by_names = {name: counts for _, name, counts in named}
    could = could_see(HEADINGS[asked.by].lower(), by_names, measure.unit)
    if len(named) == 1:
        return Told(None, None, (), could)
    standings, groups = stand_out(by_names), {name: group for group, name, _ in named}
    links = behind_groups(measure, asked, [groups[row.name] for row in standings])
    drawn = funnel(by_names)
    return Told(
        _group_sheet(measure, asked, by_names, standings, links),
        funnel_picture(drawn, links, measure.title, measure.unit) if drawn else None,
        _verdict(asked.by, standings, added(by_names.values())),
        could,
    )


@lru_cache(maxsize=KEPT)
def _curve_told(of: tuple[Asked, str], rows: Sequence[tuple[int, bool, int]]) -> Told:
    curve, asked = returning(rows), of[0]
    days = [step.day for step in curve.steps]
    links = dict(zip(days, behind_rows("back-by", asked, map(str, days)), strict=True))
    return Told(_curve_sheet(curve, asked), curve_picture(curve, links, RETURNS.title))


def _held_against_each_other(counts: Counts, names: Names, pair: tuple[str, str]) -> str:
    """A plain sentence on two groups; empty unless the address names such as are there."""
    keys = {key_of(group): group for group in counts}
    if not {*pair} <= {*keys}:
        return ""
    if pair[0] == pair[1]:
        return "Choose two different rows to hold against each other."
    first, second = (keys[key] for key in pair)
    said = compare(proportion(*counts[first]), proportion(*counts[second]), names[second])
    return f"{names[first]} {said}"


def before(asked: Asked) -> Asked:
    """As many days just before those asked about."""
    length = asked.until - asked.since + datetime.timedelta(days=1)
    return replace(asked, since=asked.since - length, until=asked.since - datetime.timedelta(1))


def _month_sheet(measure: Measure, chart: MonthlyChart, links: Sequence[str]) -> Sheet:
    lines: list[list[SheetCell]] = [
        [
            month.name,
            month.k,
            month.n,
            Share(month.rate),
            Share(month.low),
            Share(month.high),
            _month_says(month.outside, month.run, month.n),
        ]
        for month in chart.months
    ]
    hits, among, _ = measure.columns
    columns = ["Month", hits, among, "Rate", "Lower limit", "Upper limit", "Says"]
    return Sheet("months", f"{measure.title} month by month", columns, lines, links)


def _month_says(outside: bool, run: bool, n: int) -> str:  # noqa: FBT001
    if not n:
        return "nothing to count"
    return "outside its limits" if outside else "in a run" if run else "within luck"


def _group_sheet(
    measure: Measure,
    asked: Asked,
    counts: Mapping[str, tuple[int, int]],
    standings: list[Standing],
    links: list[str],
) -> Sheet:
    hits, total = added(counts.values())
    _, drawn = drawn_rates(counts)
    towards = {row.name: row.rate for row in drawn}
    lines: list[list[SheetCell]] = []
    for row in standings:
        figure = proportion(row.k, row.n)
        rest = proportion(hits - row.k, total - row.n)
        few = figure.too_few
        more = more_to_name(row, hits, total, len(standings))
        lines.append(
            [
                row.name,
                row.k,
                row.n,
                Share(None if few else figure.rate),
                Share(None if few else figure.low),
                Share(None if few else figure.high),
                row.says,
                more,
                Share(towards.get(row.name)),
                difference(figure, rest).words(),
            ]
        )
    columns = [
        HEADINGS[asked.by],
        *measure.columns,
        "Likely from",
        "to",
        "Luck?",
        "More to tell",
        "Drawn to the house",
        "Less the others",
    ]
    caption = f"{measure.title} by {HEADINGS[asked.by].lower()}"
    return Sheet("groups", caption, columns, lines, links)


def _curve_sheet(curve: Returning, asked: Asked) -> Sheet:
    lines: list[list[SheetCell]] = [
        [
            step.day,
            step.at_risk,
            step.back,
            Share(step.returned),
            Share(None if step.high is None else 1 - step.high),
            Share(None if step.low is None else 1 - step.low),
        ]
        for step in curve.steps
    ]
    columns = ["Day", "Still out", "Came back", "Back by then", "Likely from", "to"]
    links = behind_rows("curve", asked, [str(step.day) for step in curve.steps])
    return Sheet("curve", "How soon garments come back", columns, lines, links)


def _verdict(by: By, standings: list[Standing], whole: tuple[int, int]) -> list[str]:
    """Who stands out, with both counts; or that nobody does."""
    hits, total = whole
    named = [
        f"{row.name}: {row.k} of {row.n}, the others {hits - row.k} of {total - row.n}: "
        f"{row.says}, even among {len(standings)}."
        for row in standings
        if row.different
    ]
    what = HEADINGS[by].lower()
    return named or [f"No {what} stands out: the differences are within what luck makes."]
