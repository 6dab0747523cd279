"""Why: what is seen, what is behind it, what cures, where the weeks go and what it costs."""

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import comb

from customers.models import House
from fittings.housebook.queries import house_book, house_catalogue
from fittings.rates import fisher, proportion, raised, stand_out
from fittings.rates.standing_out import FALSE_ALARMS
from fittings.review import why_facts
from fittings.review.addresses import behind, behind_pairs, behind_row, behind_rows
from fittings.review.asking import Asked, By
from fittings.review.costs import Cost, remake_cost, return_cost, saved_by_a_point
from fittings.review.facts import left_the_work
from fittings.review.heat import Heated, heat
from fittings.review.labels import fault_name
from fittings.review.measures import FAULTS, RETURNS
from fittings.review.pictures import Beams, beams
from fittings.review.row_behind import OWN_WORDS as OWN_WORDS_KEY
from fittings.review.seeing import could_see
from fittings.review.sheets import Money, Share, Sheet, SheetCell, Tenths
from fittings.review.why_facts import Seen
from garments import seams
from garments.models import Kind, Stage

MOST_LINES = 40
KEPT = 50  # sheets of each kind kept by their numbers
OWN_WORDS = "In the fitter's own words"


@dataclass(frozen=True, slots=True)
class Why:
    """The page: its sheets by key, its bars, and the drawn garment of the kind asked about."""

    sheets: dict[str, Sheet]
    bars: dict[str, Beams]
    drawn: list[Heated]
    kind: str
    said: dict[str, str]

    @property
    def empty(self) -> bool:
        return not any(sheet.lines for sheet in self.sheets.values())


def explain(asked: Asked, now: datetime.datetime) -> Why:
    """Ten statements, whatever the data."""
    of = About(asked, behind(RETURNS, asked), house_book().state)  # its rows go with the links
    asked = replace(asked, by=By.KIND)  # by fault a garment would count once for each of its own
    seen = tuple(why_facts.faults_seen(asked))
    kind = asked.kind or Kind.COAT
    zones = Counter({row.zone: 0 for row in seen if row.kind == kind})
    for row in seen:
        if row.kind == kind:
            zones[row.zone] += row.times
    pairs = tuple(why_facts.faults_together(asked))
    cost, cost_said = costs_of(asked, now, House.get(), of.asked)
    weeks = tuple(why_facts.days_at_stages(asked).items())
    cures, cures_said = _cures(of, tuple(why_facts.operations_judged(asked).items()))
    sheets = [
        _faults(of, seen),
        _causes(of, tuple(why_facts.causes_taken(asked))),
        _zones(of, kind, tuple(zones.most_common())),
        _together(of, seen, pairs, why_facts.garments_looked_at(asked)),
        cures,
        _looks(of, tuple(why_facts.looks_taken(asked))),
        _weeks(of, weeks),
        cost,
    ]
    by_key = {sheet.key: sheet for sheet in sheets}
    bars = {
        key: beams(key, title, _counted(by_key[key]))
        for key, title in (("faults", "Faults seen"), ("causes", "Causes taken"))
    }
    days = _days(of.asked, dict(weeks))
    bars["weeks"] = beams("weeks", "Days at each stage", days, "Longest", " days")
    links = dict(zip(zones, behind_rows("zones", of.asked, zones), strict=True))
    drawn = heat(kind, zones, links)
    return Why(
        by_key,
        bars,
        drawn,
        str(kind),
        {"costs": cost_said, "cures": cures_said, "faults": FAULTS.hit},
    )


@dataclass(frozen=True, slots=True)
class About:
    """What sheets are of: the question, its address and the state of the catalogue.

    Of the same and the same numbers a sheet is the same, and is drawn once.
    """

    asked: Asked
    address: str
    book: str


def _counted(sheet: Sheet) -> list[tuple[str, int, str]]:
    return [
        (str(line[0]), int(str(line[1])), link)
        for line, link in zip(sheet.lines, sheet.links, strict=True)
    ]


def _days(asked: Asked, weeks: dict[str, tuple[int, float]]) -> list[tuple[str, int, str]]:
    """Stages by their days in all, most first."""
    stages = sorted(weeks, key=lambda stage: (-weeks[stage][1], stage))
    return [
        (Stage(key).label.capitalize(), round(weeks[key][1]), behind_row("weeks", asked, key))
        for key in stages
    ]


@lru_cache(maxsize=KEPT)
def _faults(of: About, seen: Sequence[Seen]) -> Sheet:
    total, so_far = sum(row.times for row in seen), 0
    times: Counter[str] = Counter()
    garments: Counter[str] = Counter()
    for row in seen:
        times[row.fault] += row.times
        garments[row.fault] += row.garments
    book = house_catalogue()
    lines: list[list[SheetCell]] = []
    for fault, count in times.most_common():
        so_far += count
        lines.append([fault_name(fault, book), count, garments[fault], Share(so_far / total)])
    columns = ["Fault", "Times seen", "Garments", "With those above"]
    links = behind_rows("faults", of.asked, [fault for fault, _ in times.most_common()])
    return Sheet("faults", "Faults, the commonest first", columns, lines, links)


@lru_cache(maxsize=KEPT)
def _causes(of: About, causes: Sequence[tuple[str, int]]) -> Sheet:
    book, total, so_far = house_catalogue(), sum(times for _, times in causes), 0
    lines: list[list[SheetCell]] = []
    for key, times in causes:
        so_far += times
        lines.append([book.cause_name(key) or OWN_WORDS, times, Share(so_far / total)])
    columns = ["Cause", "Times taken", "With those above"]
    links = behind_rows("causes", of.asked, [key or OWN_WORDS_KEY for key, _ in causes])
    return Sheet("causes", "Causes, the commonest first", columns, lines, links)


@lru_cache(maxsize=KEPT)
def _zones(of: About, kind: str, zones: Sequence[tuple[str, int]]) -> Sheet:
    book, total = house_catalogue(), sum(times for _, times in zones)
    lines: list[list[SheetCell]] = [
        [book.zone_name(kind, zone), times, Share(times / total)] for zone, times in zones if times
    ]
    caption = f"Faults by zone: {Kind(kind).label}"
    links = behind_rows("zones", of.asked, [zone for zone, times in zones if times])
    return Sheet("zones", caption, ["Zone", "Times seen", "Share"], lines, links)


@lru_cache(maxsize=KEPT)
def _together(
    of: About, seen: Sequence[Seen], pairs: Sequence[tuple[str, str, int]], looks: int
) -> Sheet:
    """Pairs held against luck by Fisher's test, with the false discoveries of so many held down.

    Every pair of faults seen often enough was a chance to be misled, those that met seldom too.
    """
    times: Counter[str] = Counter()
    for row in seen:
        times[row.fault] += row.times
    chances = [
        fisher(both, times[first], times[second] - both, looks - times[first])
        if times[first] <= looks - times[second] + both
        else 1.0
        for first, second, both in pairs
    ]
    among = comb(sum(count >= why_facts.FEWEST_TOGETHER for count in times.values()), 2)
    book = house_catalogue()
    lines: list[list[SheetCell]] = []
    for (first, second, both), chance in zip(pairs, raised(chances, among), strict=True):
        luck = times[first] * times[second] / max(looks, 1)
        apart = chance <= FALSE_ALARMS
        says = "within luck" if not apart else "travel together" if both > luck else "avoid it"
        named = fault_name(first, book), fault_name(second, book)
        lines.append([*named, both, Tenths(luck), says])
    columns = ["Fault", "and", "Together", "By luck", "Says"]
    links = behind_pairs("together", of.asked, [pair[:2] for pair in pairs[:MOST_LINES]])
    return Sheet("together", "Faults that travel together", columns, lines[:MOST_LINES], links)


@lru_cache(maxsize=KEPT)
def _cures(of: About, found: Sequence[tuple[str, tuple[int, int]]]) -> tuple[Sheet, str]:
    """The sheet, and what could be seen with so many."""
    names = {seams.operation(key).name: counts for key, counts in found}
    keys = {seams.operation(key).name: key for key, _ in found}
    lines: list[list[SheetCell]] = []
    standings = stand_out(names)
    for row in standings:
        figure = proportion(row.k, row.n)
        shown = [None, None, None] if figure.too_few else [*figure]
        lines.append([row.name, row.k, row.n, *(Share(part) for part in shown), row.says])
    columns = ["Alteration", "Cured", "Judged", "Rate", "Likely from", "to", "Luck?"]
    links = behind_rows("cures", of.asked, [keys[row.name] for row in standings])
    could = could_see("alteration", dict(found), "judgements") if found else []
    caption = "Which alterations cure at the next look"
    return Sheet("cures", caption, columns, lines, links), " ".join(could)


@lru_cache(maxsize=KEPT)
def _looks(of: About, found: Sequence[tuple[int, int]]) -> Sheet:
    total = sum(garments for _, garments in found)
    lines: list[list[SheetCell]] = [
        [looks, garments, Share(garments / total)] for looks, garments in found
    ]
    links = behind_rows("looks", of.asked, [str(looks) for looks, _ in found])
    return Sheet("looks", "Looks a garment takes", ["Looks", "Garments", "Share"], lines, links)


@lru_cache(maxsize=KEPT)
def _weeks(of: About, found: Sequence[tuple[str, tuple[int, float]]]) -> Sheet:
    total = sum(days for _, (_, days) in found)
    lines: list[list[SheetCell]] = []
    links = []
    for stage in Stage:
        times, days = dict(found).get(stage, (0, 0.0))
        if times:
            label = stage.label.capitalize()
            share = Share(days / total if total else None)
            lines.append([label, times, Tenths(days / times), Tenths(days), share])
            links.append(behind_row("weeks", of.asked, stage))
    columns = ["Standing at", "Times", "Days each", "Days in all", "Share of the days"]
    return Sheet("weeks", "Where the weeks go", columns, lines, links)


def costs_of(asked: Asked, now: datetime.datetime, house: House, named: Asked) -> tuple[Sheet, str]:
    """The costs, and what they say; the letter prints them too.

    ``named`` is the question as its links name it; ``asked`` is not by fault.
    """
    recuts = why_facts.recuts(asked)
    left = left_the_work(asked, now).values()
    again = remake_cost(
        [(row.kind, row.piece, row.times, row.cloth) for row in recuts],
        house.minute_cost,
        house.metre_cost,
    )
    # By the day of the decision, as remakes are: of the garments that left in these days nobody
    # knows yet which come back.
    back = return_cost(why_facts.altered_after_return(asked), house.minute_cost)
    lines = [_cost_line("Remakes", again), _cost_line("Alterations after a return", back)]
    columns = ["What", "Times", "Bench minutes", "Metres of cloth", "Cost"]
    garments, without = sum(one.delivered for one in left), sum(row.without for row in recuts)
    said = _costs_said(house, again, garments, without)
    shown = lines if again.times or back.times else []
    links = [behind_row("costs", named, "remakes"), behind_row("after-return", named, "returns")]
    caption = "What remakes and returns cost"
    return Sheet("costs", caption, columns, shown, links[: len(shown)]), said


def _cost_line(name: str, cost: Cost) -> list[SheetCell]:
    money = None if cost.money is None else Money(float(cost.money))
    return [name, cost.times, cost.minutes, Tenths(cost.metres), money]


def _costs_said(house: House, again: Cost, garments: int, without: int) -> str:
    if house.minute_cost is None:
        return (
            "What a bench minute costs is not entered: the owner enters it among the house's "
            "settings, and what a metre of cloth costs."
        )
    saved = saved_by_a_point(again, garments)
    of = f"{garments} garments delivered"
    said = f" One point less of {of} would have saved {saved}." if saved else ""
    missing = f" Of {without} nobody entered the cloth: it is not in the sum." if without else ""
    return f"A bench minute at {house.minute_cost}.{said}{missing}"
