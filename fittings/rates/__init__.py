"""Rates that do not lie: every figure carries its interval and the count behind it.

Pure: counts in, frozen dataclasses out. A rate is a number in 0..1; words() makes it per cent.
Each subject is a file of its own with its sources at the top.
"""

from fittings.rates.differences import (
    Difference,
    compare,
    difference,
    garments_to_tell,
    more_to_tell,
)
from fittings.rates.funnel import Funnel, FunnelPoint, binomial_limits, funnel
from fittings.rates.groups import Row, mean_rows, rows
from fittings.rates.means import Mean, mean_from_sums
from fittings.rates.months import Month, MonthlyChart, monthly_chart
from fittings.rates.proportions import (
    FEWEST_TO_TELL,
    LEVEL,
    TOO_FEW,
    Proportion,
    percent,
    proportion,
)
from fittings.rates.returning import Returning, Step, returning
from fittings.rates.shrinking import Drawn, House, drawn_rates, fit_house
from fittings.rates.standing_out import (
    Standing,
    fisher,
    garments_each,
    more_to_name,
    raised,
    seen,
    stand_out,
)

__all__ = [
    "FEWEST_TO_TELL",
    "LEVEL",
    "TOO_FEW",
    "Difference",
    "Drawn",
    "Funnel",
    "FunnelPoint",
    "House",
    "Mean",
    "Month",
    "MonthlyChart",
    "Proportion",
    "Returning",
    "Row",
    "Standing",
    "Step",
    "binomial_limits",
    "compare",
    "difference",
    "drawn_rates",
    "fisher",
    "fit_house",
    "funnel",
    "garments_each",
    "garments_to_tell",
    "mean_from_sums",
    "mean_rows",
    "monthly_chart",
    "more_to_name",
    "more_to_tell",
    "percent",
    "proportion",
    "raised",
    "returning",
    "rows",
    "seen",
    "stand_out",
]
