"""Whether what was proposed came true: the proposals kept with the causes taken, and the outcome.

A cause came true when it was taken and all its alterations were cured at the next look. A look
counts once everything taken at it has been judged; each cause proposed there is one proposal.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from fittings.catalogue import Catalogue
from fittings.diagnosis import DiagnosisError, Network, network_for, posterior
from fittings.learning import Case
from fittings.learning.weights import CURED
from fittings.lessons.reading import KINDS, Found, Look, text_of
from fittings.models import CauseTaken

NEWEST = 200  # looks: enough to tell by, and few enough to weigh again in half a second
ROWS_READ = 5 * NEWEST  # a look has a cause or two, and the newest are not judged yet

Triple = list[Any]  # said at the time, by the catalogue alone, came true


def proposals_that_came_out(found: Iterable[Found], catalogue: Catalogue) -> dict[str, Any]:
    """{"looks": count, "pairs": [said, catalogue alone, came true]} of the newest. One query."""
    cases: dict[Look, dict[str, Case]] = defaultdict(dict)
    for each in found:
        cases[each.look][each.case.cause] = each.case
    networks = {kind: network_for(catalogue, kind) for kind in KINDS}
    pairs: list[Triple] = []
    looks = 0
    for look, taken, proposed in _newest_looks(cases):
        judged = cases[look]
        if not taken <= judged.keys():
            continue
        (kind,) = {case.kind for case in judged.values()}
        alone = _alone(networks[kind], proposed)
        if alone is None:
            continue
        looks += 1
        pairs += [
            [row["probability"], round(alone[row["cause"]], 4), _came_true(judged, row["cause"])]
            for row in proposed["causes"]
            if row["cause"] in alone
        ]
    return {"looks": looks, "pairs": pairs}


def _newest_looks(
    cases: Mapping[Look, Any],
) -> list[tuple[Look, set[str], dict[str, Any]]]:
    """Each look with the causes taken at it and the last proposal; the newest looks."""
    rows = list(
        CauseTaken.objects.standing()
        .filter(cause__gt="")
        .order_by("-at", "-pk")
        .values_list("garment", "cause", "proposed", text_of("fitting"))[:ROWS_READ]
    )
    taken: dict[Look, set[str]] = defaultdict(set)
    proposed: dict[Look, dict[str, Any]] = {}
    for garment, cause, said, fitting in reversed(rows):
        look = fitting, garment
        taken[look].add(cause)
        if said.get("causes") and look in cases:
            proposed.pop(look, None)
            proposed[look] = said
    return [(look, taken[look], said) for look, said in list(proposed.items())[-NEWEST:]]


def _alone(network: Network, proposed: Mapping[str, Any]) -> dict[str, float] | None:
    """What the catalogue alone says to the same findings; None where it knows them no more."""
    try:
        return posterior(network, proposed["present"], proposed["absent"])
    except DiagnosisError:
        return None


def _came_true(judged: Mapping[str, Case], cause: str) -> bool:
    case = judged.get(cause)
    return case is not None and all(work.verdict == CURED for work in case.work)
