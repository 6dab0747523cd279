"""What the record says by group, as the review's tables add it up."""

from fittings.review.facts import first_judgements, left_the_work
from fittings.review.totals import by_group, looks, watching


def remakes(asked, now):
    """Group -> (garments cut again, garments that left the work and whose watch is over)."""
    return _of("remakes", asked, now)


def returns(asked, now):
    """Group -> (garments back within the watch, garments whose watch is over)."""
    return _of("returns", asked, now)


def _of(measure, asked, now):
    return by_group({key: left.of(measure) for key, left in left_the_work(asked, now).items()})


def cures(asked):
    """Group -> (alterations that the first look after called cured, alterations looked at)."""
    return by_group(first_judgements(asked))


def fittings(asked, now):
    """Group -> (garments, the fittings they took, the sum of the squares of those)."""
    return looks(left_the_work(asked, now))


def still_watched(asked, now):
    """How many garments delivered in the days asked about may still come back in their watch."""
    return watching(left_the_work(asked, now))
