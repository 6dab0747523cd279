"""What the review counts, each definition once: the page prints it, ``queries`` counts by it."""

from dataclasses import dataclass
from datetime import timedelta

# A garment has this long to come back before it counts as one that did not. The same length for
# every garment: without it the newest month always looks best. Common practice, no source.
WATCH = timedelta(days=90)


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure of the review.

    ``hit`` and ``among`` are the numerator and the denominator, ``day`` the day that decides the
    period; ``columns`` head the numerator, the denominator and the figure.
    """

    key: str
    title: str
    hit: str
    among: str
    day: str
    columns: tuple[str, str, str]


REMAKES = Measure(
    key="remakes",
    title="Remakes",
    hit="garments of which the whole or a main piece was cut again at the house's cost, each "
    "counted once however often",
    among="garments that left the work: delivered, or replaced by a remake before that. The "
    "garment made in its place counts as a garment of its own",
    day="the day the garment first left the work; a remake after that is counted back to it, so "
    "the newest months can still rise",
    columns=("Cut again", "Garments", "Rate"),
)
RETURNS = Measure(
    key="returns",
    title="Returns",
    hit=f"garments that were delivered and came back at the house's cost within {WATCH.days} days",
    among=f"garments delivered at least {WATCH.days} days ago",
    day="the day of the first delivery",
    columns=("Came back", "Delivered", "Rate"),
)
CURES = Measure(
    key="cures",
    title="Cured at the next look",
    hit="alterations that the next fitting called cured; better, same and worse are not cured",
    among="alterations that have been judged at a fitting. Those nobody has looked at since do "
    "not count yet",
    day="the day of the fitting that first judged the alteration",
    columns=("Cured", "Judged", "Rate"),
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
MEASURES = (REMAKES, RETURNS, CURES, FITTINGS, CARRIED, CARRIED_FAULTS)
