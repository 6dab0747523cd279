"""The file to fill in: our column names and a row of example."""

import csv
import io

from customers.points import POINTS
from fittings.lists.columns import MEANINGS, measure_meaning

# An invented person; the example is left out by whoever fills the file in.
EXAMPLE = {
    "reference": "A-17",
    "title": "Mr",
    "given_name": "Tobiah",
    "family_name": "Example",
    "phone": "01632 960 101",
    "email": "tobiah@example.org",
    "reads_in": "in",
    "notes": "Left shoulder low",
    "taken_on": "2026-01-31",
    "unit": "in",
    "kind": "coat",
    "cloth": "Grey worsted, 11 oz",
    "cloth_pattern": "plain",
    "ordered_on": "2026-02-02",
    "promised_on": "2026-06-30",
    "stage": "ordered",
}
FILLED_POINTS = {"chest": "38 1/2", "waist": "33", "seat": "39 1/4", "wrist": "6 3/4"}
LEFT_OUT = ("number", "name")  # for a list that has them; one to be filled in needs neither


def template_text(*, cut: str = "", cutter: str = "") -> str:
    """CSV (RFC 4180, CRLF) of our columns and one example, with a cut and a cutter of the house."""
    example = EXAMPLE | {"cut": cut, "cutter": cutter}
    keys = [key for key, meaning in MEANINGS.items() if ":" not in key and key not in LEFT_OUT]
    at = keys.index("kind")
    measures = [
        (measure_meaning(point.key, side), point.key) for point in POINTS for side in point.sides
    ]
    example |= {key: FILLED_POINTS.get(point, "") for key, point in measures}
    keys[at:at] = [key for key, _ in measures]
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(MEANINGS[key].name for key in keys)
    writer.writerow(example.get(key, "") for key in keys)
    return out.getvalue()
