"""What the record says of the reasons, in the days asked about: each in one statement."""

from collections import Counter
from dataclasses import dataclass
from heapq import nsmallest
from itertools import combinations

from customers.lengths import Length
from fittings.review.asking import Asked
from fittings.review.facts import (
    decided_in,
    joined_garments,
    judged_in,
    left_in,
    recut_in,
    seen_in,
    stood_in,
    taken_in,
)
from fittings.review.sql import (
    Fetched,
    Piece,
    gathered,
    in_span,
    moment,
    whole,
)
from fittings.review.sums import Question, Sums, added_up, spans_of

FEWEST_TOGETHER = 3
MOST_PAIRS = 60
DAY = 24 * 60 * 60  # seconds


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
    first = Piece("before_at IS NULL OR before_at < %s", (moment(asked.start),))
    question = Question(
        "seen",
        "SELECT spans.n, kind, zone, fault, COUNT(*), SUM(CASE WHEN "
        + first
        + " THEN 1 ELSE 0 END) FROM "
        + seen_in(asked)
        + " GROUP BY 1, 2, 3, 4",
        keys=3,
    )
    found = [Seen(*key, *numbers) for key, numbers in _all(question, asked).items()]
    return sorted(found, key=lambda seen: (-seen.times, seen.fault, seen.kind, seen.zone))


def faults_together(asked: Asked) -> list[tuple[str, str, int]]:
    """Two faults seen on one garment at one fitting: (first, second, how often)."""
    question = Question(
        "seen",
        f"SELECT n, faults, COUNT(*) FROM (SELECT spans.n, {gathered('fault')} AS faults FROM "
        + seen_in(asked)
        + " GROUP BY spans.n, fitting_id, garment_id) looks GROUP BY n, faults",
        read=_pairs,
    )
    often = [
        (first, second, both)
        for (first, second), (both,) in _all(question, asked).items()
        if both >= FEWEST_TOGETHER
    ]
    return nsmallest(MOST_PAIRS, often, key=lambda row: (-row[2], row))


def _pairs(rows: Fetched) -> Sums:
    pairs: Counter[tuple[str, str]] = Counter()
    for _, faults, times in rows:  # a join of the table with itself took three times as long
        for pair in combinations(sorted(set(faults.split(","))), 2):
            pairs[pair] += times
    return {pair: (times,) for pair, times in pairs.items()}


def _all(question: Question, asked: Asked) -> Sums:
    return added_up(question, spans_of(asked.since, asked.until))


def garments_looked_at(asked: Asked) -> int:
    """How often a garment was looked at: one at one fitting, whether a fault was seen or none."""
    joined, wanted = joined_garments(asked, "j.garment_id")
    question = Question(
        "look",
        f"""SELECT spans.n, COUNT(*) FROM spans CROSS JOIN fittings_fitting f
JOIN fittings_fitting_garments j ON j.fitting_id = f.id{joined}
WHERE f.purpose <> 'measure' AND """
        + in_span("f.started_at")
        + wanted
        + " GROUP BY 1",
        keys=0,
    )
    return _all(question, asked).get((), (0,))[0]


def causes_taken(asked: Asked) -> list[tuple[str, int]]:
    """Cause -> how often a fitter took it; own words under ""; the commonest first."""
    question = Question(
        "look", "SELECT spans.n, c.cause, COUNT(*) FROM " + taken_in(asked) + " GROUP BY 1, 2"
    )
    found = [(cause, times) for (cause,), (times,) in _all(question, asked).items()]
    return sorted(found, key=lambda row: (-row[1], row[0]))


def operations_judged(asked: Asked) -> dict[str, tuple[int, int]]:
    """Operation -> (cured at the next look, judged)."""
    question = Question(
        "judged",
        "SELECT spans.n, operation, SUM(cured), COUNT(*) FROM "
        + judged_in(asked)
        + " GROUP BY 1, 2",
    )
    found = _all(question, asked).items()
    return {operation: (cured, judged) for (operation,), (cured, judged) in found}


def looks_taken(asked: Asked) -> list[tuple[int, int]]:
    """(fittings until the first delivery, garments that took so many)."""
    question = Question(
        "left",
        "SELECT spans.n, looks, COUNT(*) FROM "
        + left_in(asked)
        + " AND delivered = 1 GROUP BY 1, 2",
    )
    return sorted((looks, garments) for (looks,), (garments,) in _all(question, asked).items())


def days_at_stages(asked: Asked) -> dict[str, tuple[int, float]]:
    """Stage -> (times a garment stood there, days in all), of garments that left the work."""
    question = Question(
        "left",
        f"SELECT spans.n, stage, COUNT(*), SUM({whole(f'days * {DAY} + 0.5')}) FROM "
        + stood_in(asked)
        + " GROUP BY 1, 2",
    )
    found = _all(question, asked).items()
    return {stage: (times, seconds / DAY) for (stage,), (times, seconds) in found}


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
    question = Question(
        "recut",
        """SELECT spans.n, g.kind, CASE WHEN r.piece = '' THEN 0 ELSE 1 END, COUNT(*),
  COALESCE(SUM(g.cloth_length), 0), SUM(CASE WHEN g.cloth_length IS NULL THEN 1 ELSE 0 END) FROM """
        + recut_in(asked)
        + " GROUP BY 1, 2, 3",
        keys=2,
    )
    return [
        Recut(kind, bool(piece), times, Length(cloth), without)
        for (kind, piece), (times, cloth, without) in sorted(_all(question, asked).items())
    ]


def altered_after_return(asked: Asked) -> list[tuple[str, Length | None, str, int]]:
    """(operation, amount, side, how often) of alterations decided after the garment came back."""
    question = Question(
        "altered",
        "SELECT n, operation, amount, side, COUNT(*) FROM "
        + decided_in(asked)
        + " GROUP BY 1, 2, 3, 4",
        keys=3,
    )
    return [
        (operation, None if amount is None else Length(int(amount)), side, times)
        for (operation, amount, side), (times,) in _all(question, asked).items()
    ]
