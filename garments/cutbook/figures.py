"""The figures of a version of a cut, read for the engine and told for the page."""

import json
from dataclasses import dataclass
from functools import lru_cache

from garments.cutting import RULES, Cut, CutError, exact, finished_point, read_cut
from garments.models import Cut as HouseCut
from garments.models import CutVersion

KEPT = 100  # versions of cuts


def figures_of(kind: str, version: CutVersion) -> Cut:
    """A version's figures; a cut that aims at nothing where they cannot be read."""
    return _read(kind, json.dumps(version.data, sort_keys=True))


@lru_cache(maxsize=KEPT)
def _read(kind: str, data: str) -> Cut:
    """Of the same text the same figures, read once: fifty lengths, on every page of a garment."""
    try:
        return read_cut(kind, json.loads(data))
    except CutError:
        return read_cut(kind, {})


@dataclass(frozen=True, slots=True)
class Told:
    """Rows for the page: name, ease, least, most, tolerance, source; and name, figure, source."""

    points: list[tuple[str, ...]]
    rules: list[tuple[str, ...]]


def newest_figures(cut: HouseCut) -> Told | None:
    """What the newest version of a cut aims at; None where it has no figures."""
    newest = next(iter(cut.versions.all()), None)
    read = figures_of(cut.kind, newest) if newest else None
    if read is None or not read.points:
        return None
    names = {figure.key: figure.name for figure in RULES[cut.kind]}
    return Told(
        points=[
            (
                finished_point(cut.kind, key).name,
                *(exact(each) for each in (aim.ease, aim.least, aim.most, aim.tolerance)),
                aim.source,
            )
            for key, aim in read.points.items()
        ],
        rules=[(names[key], exact(rule.value), rule.source) for key, rule in read.rules.items()],
    )
