"""What the record says of the days asked about: one statement for each kind of day that counts.

Three days count: the day a garment first left the work, the day of its first fitting, and the day
an alteration was first judged. Each statement starts from the days asked about, so its cost follows
the period and not the age of the house. What is counted is defined in ``measures``.
"""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connection

from fittings.review.asking import TIMES, Asked, By, Group
from fittings.review.measures import WATCH, Measure
from fittings.review.sql import (
    DAY_SLACK,
    GARMENT_COLUMNS,
    Piece,
    as_day,
    day_of,
    days_between,
    fetch,
    group_of,
    in_days,
    moment,
    of_garments,
    period_of,
    seen_until,
    stands,
    whole,
)

STAGES = "garments_stageentry"
WATCHED = WATCH.days + DAY_SLACK
Key = tuple[Group, datetime.date]
Monthly = dict[Key, tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Left:
    """Garments that left the work, by group and month: counts of what became of them.

    ``watching`` are those in their first ``WATCH``; ``looks`` and ``squares`` are the fittings
    until the first delivery, and the sum of their squares.
    """

    ripe: int
    again: int
    watching: int
    ripe_delivered: int
    back: int
    promised: int
    late: int
    delivered: int
    looks: int
    squares: int

    def of(self, measure: str) -> tuple[int, int]:
        """Numerator and denominator of one of the rates counted here."""
        return {
            "remakes": (self.again, self.ripe),
            "returns": (self.back, self.ripe_delivered),
            "late": (self.late, self.promised),
        }[measure]


def left_the_work(asked: Asked, now: datetime.datetime) -> dict[Key, Left]:
    """What became of the garments that first left the work in the days asked about."""
    told = left_told(asked, now)
    rows = fetch(
        told
        + """
SELECT grp, month, SUM(ripe), SUM(ripe * again), SUM(delivered * (1 - ripe)),
  SUM(delivered * ripe), SUM(delivered * ripe * back), SUM(delivered * promised),
  SUM(delivered * promised * late), SUM(delivered), SUM(delivered * looks),
  SUM(delivered * looks * looks)
FROM told GROUP BY grp, month"""
    )
    return {
        (_group(asked.by, group), as_day(month)): Left(*(int(value) for value in values))
        for group, month, *values in rows
    }


def left_told(asked: Asked, now: datetime.datetime) -> Piece:
    """``told``: a row a garment (by fault, one for each fault) with what became of it.

    The stage is joined to nothing where it must not tempt SQLite from the garment's own few rows.
    """
    sooner = "(e.at < s.at OR (e.at = s.at AND e.id < s.id))"
    gone = (
        f"""WITH gone AS (
  SELECT s.garment_id, s.at, s.stage, {GARMENT_COLUMNS}
  FROM {STAGES} s JOIN garments_garment g ON g.id = s.garment_id
  WHERE s.stage IN ('delivered', 'remade') AND """
        + in_days(asked, "s.at")
        + of_garments(asked, "g")
        + f""" AND {stands("s", STAGES)}
  AND NOT EXISTS (
    SELECT 1 FROM {STAGES} e WHERE e.garment_id = s.garment_id
    AND e.stage IN ('delivered', 'remade') AND {sooner} AND {stands("e", STAGES)})
), told AS MATERIALIZED (
  SELECT gone.garment_id, gone.at, """
    )
    again = f"""SELECT 1 FROM garments_remake r WHERE r.replaces_id = gone.garment_id
      AND {stands("r", "garments_remake")} AND {days_between("gone.at", "r.at")} <= {WATCHED}"""
    back = f"""SELECT 1 FROM {STAGES} r WHERE r.garment_id = gone.garment_id
      AND r.stage || '' = 'returned' AND {stands("r", STAGES)} AND r.at >= gone.at
      AND {days_between("gone.at", "r.at")} <= {WATCHED}"""
    looks = """SELECT COUNT(*) FROM fittings_fitting_garments j
      JOIN fittings_fitting f ON f.id = j.fitting_id
      WHERE j.garment_id = gone.garment_id AND f.purpose <> 'measure'
      AND f.started_at <= gone.at"""
    return (
        gone
        + group_of(asked.by, "gone")
        + " AS grp, "
        + period_of("gone.at")
        + """ AS month,
    CASE WHEN gone.stage = 'delivered' THEN 1 ELSE 0 END AS delivered,
    CASE WHEN gone.at <= """
        + Piece("%s", (moment(now - WATCH),))
        + f""" THEN 1 ELSE 0 END AS ripe,
    CASE WHEN EXISTS ({again}) THEN 1 ELSE 0 END AS again,
    CASE WHEN EXISTS ({back}) THEN 1 ELSE 0 END AS back,
    CASE WHEN gone.promised_on IS NULL THEN 0 ELSE 1 END AS promised,
    CASE WHEN """
        + day_of("gone.at")
        + f""" > gone.promised_on THEN 1 ELSE 0 END AS late,
    ({looks}) AS looks
  FROM gone{seen_until("gone") if asked.by is By.FAULT else ""}
)"""
    )


def first_looks(asked: Asked) -> dict[tuple[Group, datetime.date, str, int], int]:
    """(group, month, what the memory was answered, faults seen) -> garments first tried on.

    The answer is empty for a customer's first garment of the kind: nothing could be carried.
    """
    rows = fetch(
        _looked(asked)
        + """
SELECT grp, month, answered, faults, COUNT(*) FROM told GROUP BY grp, month, answered, faults"""
    )
    return {
        (_group(asked.by, group), as_day(month), answered, faults): garments
        for group, month, answered, faults, garments in rows
    }


def _looked(asked: Asked) -> Piece:
    sooner = "(f2.started_at < f.started_at OR (f2.started_at = f.started_at AND f2.id < f.id))"
    taken = f"""SELECT 1 FROM garments_carryanswer c WHERE c.garment_id = looked.garment_id
      AND {stands("c", "garments_carryanswer")}"""
    return (
        f"""WITH looked AS (
  SELECT f.id AS fitting_id, f.started_at AS at, j.garment_id, g.customer_id, g.serial,
    {GARMENT_COLUMNS}
  FROM fittings_fitting f JOIN fittings_fitting_garments j ON j.fitting_id = f.id
  JOIN garments_garment g ON g.id = j.garment_id
  WHERE f.purpose <> 'measure' AND """
        + in_days(asked, "f.started_at")
        + of_garments(asked, "g")
        + f"""
  AND NOT EXISTS (
    SELECT 1 FROM fittings_fitting_garments j2 JOIN fittings_fitting f2 ON f2.id = j2.fitting_id
    WHERE j2.garment_id = j.garment_id AND f2.purpose <> 'measure' AND {sooner})
), told AS MATERIALIZED (
  SELECT looked.garment_id, looked.at, """
        + group_of(asked.by, "looked")
        + " AS grp, "
        + period_of("looked.at")
        + f""" AS month,
    CASE WHEN EXISTS ({taken} AND c.accepted) THEN 'carried'
      WHEN EXISTS ({taken}) THEN 'left out'
      WHEN EXISTS (
        SELECT 1 FROM garments_garment b WHERE b.customer_id = looked.customer_id
        AND b.kind = looked.kind AND b.serial < looked.serial AND b.stage <> 'ordered')
      THEN 'nothing answered' ELSE '' END AS answered,
    (SELECT COUNT(*) FROM fittings_observation o WHERE o.fitting_id = looked.fitting_id
      AND o.garment_id = looked.garment_id AND o.fault <> ''
      AND {stands("o", "fittings_observation")}) AS faults
  FROM looked{seen_until("looked") if asked.by is By.FAULT else ""}
)"""
    )


def first_judgements(asked: Asked) -> Monthly:
    """(group, month) -> (alterations the first look after called cured, alterations judged)."""
    rows = fetch(
        judged_told(asked)
        + """
SELECT grp, month, COUNT(DISTINCT CASE WHEN cured = 1 THEN thing END), COUNT(DISTINCT thing)
FROM told GROUP BY grp, month"""
    )
    return {
        (_group(asked.by, group), as_day(month)): (cured, judged)
        for group, month, cured, judged in rows
    }


def judged_told(asked: Asked) -> Piece:
    judgements, alterations = "fittings_judgement", "garments_alteration"
    sooner = """(f2.started_at < f.started_at OR (f2.started_at = f.started_at
      AND (j2.at < j.at OR (j2.at = j.at AND j2.id < j.id))))"""
    answered = f"""
  JOIN fittings_observation_alterations oa ON oa.alteration_id = judged.thing
  JOIN fittings_observation seen ON seen.id = oa.observation_id AND seen.fault <> ''
    AND {stands("seen", "fittings_observation")}
  JOIN fittings_fitting sf ON sf.id = seen.fitting_id AND sf.started_at <= judged.at"""
    return (
        f"""WITH judged AS (
  SELECT a.id AS thing, a.garment_id, a.operation, f.started_at AS at, j.verdict, {GARMENT_COLUMNS}
  FROM fittings_fitting f JOIN {judgements} j ON j.fitting_id = f.id
  JOIN {alterations} a ON a.id = j.alteration_id
  JOIN garments_garment g ON g.id = a.garment_id
  WHERE """
        + in_days(asked, "f.started_at")
        + of_garments(asked, "g")
        + f""" AND {stands("j", judgements)} AND {stands("a", alterations)}
  AND NOT EXISTS (
    SELECT 1 FROM {judgements} j2 JOIN fittings_fitting f2 ON f2.id = j2.fitting_id
    WHERE j2.alteration_id = j.alteration_id AND {stands("j2", judgements)} AND {sooner})
), told AS MATERIALIZED (
  SELECT judged.thing, judged.garment_id, judged.operation, judged.at, """
        + group_of(asked.by, "judged")
        + " AS grp, "
        + period_of("judged.at")
        + f""" AS month, CASE WHEN judged.verdict = 'cured' THEN 1 ELSE 0 END AS cured
  FROM judged{answered if asked.by is By.FAULT else ""}
)"""
    )


def out_so_long(asked: Asked, now: datetime.datetime) -> list[tuple[int, bool, int]]:
    """Rows of (days, came back on that day or only watched to it, garments) since delivery."""
    back = f"""(SELECT MIN(r.at) FROM {STAGES} r WHERE r.garment_id = told.garment_id
    AND r.stage || '' = 'returned' AND r.at >= told.at AND {stands("r", STAGES)})"""
    until = whole(days_between("at", "COALESCE(back_at, now_at)"))
    rows = fetch(
        left_told(asked, now)
        + ", waits AS (SELECT told.at, "
        + back
        + " AS back_at, "
        + _now(now)
        + f""" AS now_at FROM told WHERE delivered = 1)
SELECT {until} AS days, CASE WHEN back_at IS NULL THEN 0 ELSE 1 END AS back, COUNT(*)
FROM waits GROUP BY 1, 2 ORDER BY 1, 2"""
    )
    return [(max(days, 0), bool(came), garments) for days, came, garments in rows]


def _now(now: datetime.datetime) -> Piece:
    """A moment that the database takes for one, whatever it would take a bare value for."""
    return Piece("%s" if connection.vendor == "sqlite" else "%s::timestamptz", (moment(now),))


# Which rows of ``told`` count among a measure, and which of them are hits.
@dataclass(frozen=True, slots=True)
class Counted:
    told: Callable[[Asked, datetime.datetime], Piece]
    among: str
    hit: str


COUNTED = {
    "remakes": Counted(left_told, "ripe = 1", "again = 1"),
    "returns": Counted(left_told, "ripe = 1 AND delivered = 1", "back = 1"),
    "late": Counted(left_told, "promised = 1 AND delivered = 1", "late = 1"),
    "cures": Counted(lambda asked, _now: judged_told(asked), "1 = 1", "cured = 1"),
    "first-fault": Counted(lambda asked, _now: _looked(asked), "1 = 1", "faults > 0"),
}


def monthly(measure: Measure, asked: Asked, now: datetime.datetime) -> Monthly:
    """(group, month) -> (numerator, denominator) of one rate."""
    if measure.key == "cures":
        return first_judgements(asked)
    if measure.key == "first-fault":
        return first_faults(first_looks(asked))
    return {key: left.of(measure.key) for key, left in left_the_work(asked, now).items()}


def first_faults(looks: Mapping[tuple[Group, datetime.date, str, int], int]) -> Monthly:
    """Of garments looked at for the first time: (with a fault, all), by group and month."""
    found: Monthly = {}
    for (group, month, _, faults), garments in looks.items():
        hit, among = found.get((group, month), (0, 0))
        found[group, month] = (hit + garments * bool(faults), among + garments)
    return found


def garments_behind(
    measure: str, asked: Asked, now: datetime.datetime, *, group: Any = ...
) -> list[tuple[int, bool]]:
    """(garment, whether it is among the hits) of a measure, newest first; perhaps of one group."""
    counted = COUNTED[measure]
    only = Piece("") if group is ... else _only(asked.by, group)
    rows = fetch(
        counted.told(asked, now)
        + f"""
SELECT garment_id, MAX(CASE WHEN {counted.hit} THEN 1 ELSE 0 END), MAX(at) FROM told
WHERE {counted.among}"""
        + only
        + " GROUP BY garment_id ORDER BY 3 DESC, 1"
    )
    return [(garment, bool(hit)) for garment, hit, _ in rows]


def _only(by: By, group: Any) -> Piece:
    if group is None:
        return Piece(" AND grp IS NULL")
    if by in TIMES:
        raise ValueError("a month is asked for by its days")
    return Piece(" AND grp = %s", (group,))


def _group(by: By, value: Any) -> Group:
    group: Group = as_day(value) if by in TIMES else value
    return group
