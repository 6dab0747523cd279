"""What the review counts, each definition once: the page prints it, ``counting`` counts by it."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

# A garment has this long to come back before it counts as one that did not. The same length for
# every garment: without it the newest month always looks best. Common practice, no source.
WATCH = timedelta(days=90)


def watched_out(now: datetime) -> datetime:
    """What left the work until then has been watched for ``WATCH`` at ``now``, a moment in a zone.

    In days of 24 hours, as the time to coming back is counted, whatever the clocks did between.
    """
    return now.astimezone(UTC) - WATCH


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure of the review.

    ``hit`` and ``among`` are the numerator and the denominator, ``day`` the day that decides the
    period; ``columns`` head the numerator, the denominator and the figure; ``unit`` is what the
    denominator counts.
    """

    key: str
    title: str
    hit: str
    among: str
    day: str
    columns: tuple[str, str, str]
    unit: str = "garments"


REMAKES = Measure(
    key="remakes",
    title="Remakes",
    hit="garments of which the whole or a main piece was cut again at the house's cost, before "
    f"they left the work or within {WATCH.days} days after, each counted once however often",
    among="garments that left the work (delivered, or replaced by a remake before that) at least "
    f"{WATCH.days} days ago. The garment made in its place counts as a garment of its own",
    day="the day the garment first left the work",
    columns=("Cut again", "Garments", "Rate"),
)
RETURNS = Measure(
    key="returns",
    title="Returns",
    hit=f"garments that were delivered and came back at the house's cost within {WATCH.days} days "
    "of 24 hours",
    among=f"garments delivered at least {WATCH.days} days ago",
    day="the day of the first delivery",
    columns=("Came back", "Delivered", "Rate"),
)
CURES = Measure(
    key="cures",
    title="Cured at the next look",
    hit="alterations called cured by the first fitting that judged them; better, same and worse "
    "are not cured",
    among="alterations that have been judged at a fitting. Those nobody has looked at since do "
    "not count yet",
    day="the day of the fitting that first judged the alteration",
    columns=("Cured", "Judged", "Rate"),
    unit="alterations",
)
FITTINGS = Measure(
    key="fittings",
    title="Fittings a garment",
    hit="fittings of the garment up to its first delivery, the final look included, measuring not",
    among="garments delivered for the first time, those delivered without a fitting too",
    day="the day of the first delivery",
    columns=("Fittings", "Garments", "Each"),
)
AGAIN = "garments of a customer who had one of that kind before, looked at for the first time"
CARRIED = Measure(
    key="carried",
    title="A fault at the first fitting",
    hit="garments whose first fitting showed a fault",
    among=f"{AGAIN}; carried when at least one change that earlier garments asked for was taken "
    "into the pattern, left out when all that was answered was left out",
    day="the day of the first fitting",
    columns=("With a fault", "Garments", "Rate"),
)
CARRIED_FAULTS = Measure(
    key="carried-faults",
    title="Faults at the first fitting",
    hit="faults seen at the first fitting",
    among=AGAIN,
    day="the day of the first fitting",
    columns=("Faults", "Garments", "Each"),
)
LATE = Measure(
    key="late",
    title="Late",
    hit="garments delivered after the day they were promised for",
    among="garments delivered for the first time for which a day was promised; what was promised "
    "when it was delivered counts",
    day="the day of the first delivery",
    columns=("Late", "Promised", "Rate"),
)
A_FAULT = "a fault is whatever the fitter entered as one and nobody struck out since"
FAULTS = Measure(
    key="faults",
    title="Faults",
    hit="times a fault was seen at a zone of a garment at one fitting, each once, whether it was "
    f"entered for one side or both; {A_FAULT}",
    among="all such times: a share of them and no rate. On how many garments it was seen stands "
    "beside it",
    day="the day of the fitting",
    columns=("Times seen", "Of all", "Share"),
)
FIRST_FAULT = Measure(
    key="first-fault",
    title="First-fitting faults",
    hit=f"garments on which a fault was seen at the first fitting; {A_FAULT}",
    among="garments tried on for the first time",
    day="the day of the first fitting",
    columns=("With a fault", "Tried on", "Rate"),
)
MEASURES = (REMAKES, RETURNS, LATE, FIRST_FAULT, CURES, FITTINGS, CARRIED, CARRIED_FAULTS)
# What the page of definitions tells: the same, and what only the page that says why counts.
DEFINED = (*MEASURES[:3], FAULTS, *MEASURES[3:])
# What has a page of its own: plain shares of garments or alterations.
RATES = (REMAKES, RETURNS, LATE, FIRST_FAULT, CURES)


def measure_of(key: str) -> Measure:
    """The measure of that key. Raises KeyError for none."""
    return {measure.key: measure for measure in MEASURES}[key]
