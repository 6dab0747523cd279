"""What the record says of the reasons, in the days asked about: each in one statement."""

from collections import Counter
from dataclasses import dataclass
from itertools import combinations

from customers.lengths import Length
from fittings.review.asking import Asked
from fittings.review.counting import STAGES, fetch_counted
from fittings.review.facts import judged_in, left_in, seen_in, stood_in
from fittings.review.sql import Piece, fetch, gathered, in_days, moment, of_garments, stands

FEWEST_TOGETHER = 3
MOST_PAIRS = 60


@dataclass(frozen=True, slots=True)
class Seen:
    """A fault at a zone of a kind of garment: entries, and the garments they were made on."""

    kind: str
    zone: str
    fault: str
    times: int
    garments: int


def faults_seen(asked: Asked) -> list[Seen]:
    """Every fault seen at a fitting of the days, the commonest first."""
    rows = fetch_counted(
        "SELECT kind, zone, fault, COUNT(*), COUNT(DISTINCT garment_id) FROM "
        + seen_in(asked)
        + " GROUP BY kind, zone, fault ORDER BY 4 DESC, 3"
    )
    return [Seen(*row) for row in rows]


def faults_together(asked: Asked) -> list[tuple[str, str, int]]:
    """Two faults seen on one garment at one fitting: (first, second, how often)."""
    rows = fetch_counted(
        f"SELECT faults, COUNT(*) FROM (SELECT {gathered('fault')} AS faults FROM "
        + seen_in(asked)
        + " GROUP BY fitting_id, garment_id) looks GROUP BY faults"
    )
    pairs: Counter[tuple[str, str]] = Counter()
    for faults, times in rows:  # a join of the table with itself took three times as long
        for pair in combinations(sorted(set(faults.split(","))), 2):
            pairs[pair] += times
    often = [(*pair, both) for pair, both in pairs.items() if both >= FEWEST_TOGETHER]
    return sorted(often, key=lambda row: (-row[2], row))[:MOST_PAIRS]


def garments_looked_at(asked: Asked) -> int:
    """How often a garment was looked at: one at one fitting, whether a fault was seen or none."""
    ((looks,),) = fetch(
        """SELECT COUNT(*) FROM fittings_fitting f
JOIN fittings_fitting_garments j ON j.fitting_id = f.id
JOIN garments_garment g ON g.id = j.garment_id WHERE f.purpose <> 'measure' AND """
        + in_days(asked, "f.started_at")
        + of_garments(asked, "g")
    )
    return int(looks)


def causes_taken(asked: Asked) -> list[tuple[str, int]]:
    """Cause -> how often a fitter took it; own words under ""; the commonest first."""
    rows = fetch(
        f"""SELECT c.cause, COUNT(*) FROM fittings_causetaken c
JOIN fittings_fitting f ON f.id = c.fitting_id JOIN garments_garment g ON g.id = c.garment_id
WHERE {stands("c", "fittings_causetaken")} AND """
        + in_days(asked, "f.started_at")
        + of_garments(asked, "g")
        + " GROUP BY c.cause ORDER BY 2 DESC, 1"
    )
    return [(cause, times) for cause, times in rows]


def operations_judged(asked: Asked) -> dict[str, tuple[int, int]]:
    """Operation -> (cured at the next look, judged)."""
    rows = fetch_counted(
        "SELECT operation, SUM(cured), COUNT(*) FROM " + judged_in(asked) + " GROUP BY operation"
    )
    return {operation: (int(cured), judged) for operation, cured, judged in rows}


def looks_taken(asked: Asked) -> list[tuple[int, int]]:
    """(fittings until the first delivery, garments that took so many)."""
    rows = fetch_counted(
        "SELECT looks, COUNT(*) FROM "
        + left_in(asked)
        + " AND delivered = 1 GROUP BY looks ORDER BY looks"
    )
    return [(looks, garments) for looks, garments in rows]


def days_at_stages(asked: Asked) -> dict[str, tuple[int, float]]:
    """Stage -> (times a garment stood there, days in all), of garments that left the work."""
    rows = fetch_counted(
        "SELECT stage, COUNT(*), SUM(days) FROM " + stood_in(asked) + " GROUP BY stage"
    )
    return {stage: (times, float(days)) for stage, times, days in rows}


@dataclass(frozen=True, slots=True)
class Recut:
    """Remakes entered in the days, of one kind: whole garments or pieces, with their cloth."""

    kind: str
    piece: bool
    times: int
    cloth: Length
    without: int


def recuts(asked: Asked) -> list[Recut]:
    """What was cut again; ``without`` are those whose piece of cloth nobody entered."""
    rows = fetch(
        f"""SELECT g.kind, CASE WHEN r.piece = '' THEN 0 ELSE 1 END, COUNT(*),
  COALESCE(SUM(g.cloth_length), 0), SUM(CASE WHEN g.cloth_length IS NULL THEN 1 ELSE 0 END)
FROM garments_remake r JOIN garments_garment g ON g.id = r.replaces_id
WHERE {stands("r", "garments_remake")} AND """
        + in_days(asked, "r.at")
        + of_garments(asked, "g")
        + " GROUP BY 1, 2 ORDER BY 1, 2"
    )
    return [
        Recut(kind, bool(piece), times, Length(int(cloth)), int(without))
        for kind, piece, times, cloth, without in rows
    ]


def altered_after_return(asked: Asked) -> list[tuple[str, Length | None, str, int]]:
    """(operation, amount, side, how often) of alterations decided after the garment came back."""
    rows = fetch(
        f"""WITH came AS MATERIALIZED (
  SELECT s.garment_id, MIN(s.at) AS at FROM {STAGES} s
  WHERE s.stage = 'returned' AND s.at < %s AND {stands("s", STAGES)} GROUP BY s.garment_id)
SELECT a.operation, a.amount, a.side, COUNT(*) FROM came
JOIN garments_alteration a ON a.garment_id = came.garment_id AND a.at >= came.at
JOIN garments_garment g ON g.id = a.garment_id
WHERE """
        + Piece(stands("a", "garments_alteration") + " AND ", (moment(asked.end),))
        + in_days(asked, "a.at")
        + of_garments(asked, "g")
        + " GROUP BY a.operation, a.amount, a.side"
    )
    return [
        (operation, None if amount is None else Length(int(amount)), side, times)
        for operation, amount, side, times in rows
    ]
