"""What is wrong with a catalogue, in sentences. The shipped one must give none."""

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from fittings.catalogue import wording
from fittings.catalogue.rows import (
    HOW_COMMON,
    NEEDS,
    SHIPPED,
    STAGES,
    STRENGTHS,
    VIEWS,
    WHERE,
    Cause,
    Fault,
    Link,
    Remedy,
    SpotTest,
    Zone,
)
from garments.seams import SIDES, UnknownKeyError
from garments.seams import operation as operation_of
from garments.seams import seam as seam_of

if TYPE_CHECKING:
    from fittings.catalogue.book import Catalogue

LONGEST_LABEL = 28
UNWRITTEN = ("common practice, no source", "from memory")
HOUSE_SAYS = "house: "  # then who says so; only on rows of the house


def check(catalogue: "Catalogue") -> list[str]:
    """Every fault of the catalogue's rows, one sentence each, in the order of the files."""
    return [
        *_sources(catalogue),
        *_twice(catalogue),
        *_zones(catalogue),
        *(said for row in catalogue.faults for said in _fault(catalogue, row)),
        *(said for row in catalogue.causes for said in _cause(catalogue, row)),
        *(said for row in catalogue.links for said in _link(catalogue, row)),
        *_order(catalogue),
        *_answered(catalogue),
        *wording.check(catalogue),
        *(said for row in catalogue.remedies for said in _remedy(catalogue, row)),
        *(said for row in catalogue.tests for said in _test(catalogue, row)),
    ]


def name_of(row: object) -> str:
    """How a row is named to people: its kind and its key, or the keys it joins."""
    if isinstance(row, Link):
        return f"link {row.cause} to {row.fault}"
    if isinstance(row, Remedy):
        return f"remedy {row.operation} at {row.seam} for {row.cause} ({row.kind})"
    if isinstance(row, SpotTest):
        return f"test {row.key}"
    return f"{type(row).__name__.lower()} {getattr(row, 'key', row)}"


def _sources(catalogue: "Catalogue") -> Iterator[str]:
    rows: tuple[Zone | Fault | Cause | Link | Remedy | SpotTest, ...] = (
        *catalogue.zones,
        *catalogue.faults,
        *catalogue.causes,
        *catalogue.links,
        *catalogue.remedies,
        *catalogue.tests,
    )
    for row in rows:
        yield from _source(catalogue, name_of(row), row.source, own=_own(row))
    for cause in catalogue.causes:
        name = f"how common {name_of(cause)} is"
        yield from _source(catalogue, name, cause.how_common_source, own=_own(cause))


def _own(row: Zone | Fault | Cause | Link | Remedy | SpotTest) -> bool:
    """Whether the house may answer for a row itself; tests are all the program's."""
    return not isinstance(row, SpotTest) and row.origin != SHIPPED


def _source(catalogue: "Catalogue", name: str, source: str, *, own: bool) -> Iterator[str]:
    if not source.strip():
        yield f"{name} has no source"
        return
    for cited in (part.strip() for part in source.split(";")):
        if own and cited.startswith(HOUSE_SAYS):
            continue
        book = cited.replace(":", " ").split(" ")[0]
        if cited not in UNWRITTEN and book not in catalogue.sources:
            yield f"{name} cites an unknown source: {cited}"


def _twice(catalogue: "Catalogue") -> Iterator[str]:
    named = Counter(
        name_of(row) for row in (*catalogue.faults, *catalogue.causes, *catalogue.tests)
    )
    named.update(f"zone {row.key} of {row.kind}" for row in catalogue.zones)
    named.update(f"{name_of(row)} {row.side}".strip() for row in catalogue.links)
    yield from (f"{name} stands twice" for name, times in named.items() if times > 1)


def _zones(catalogue: "Catalogue") -> Iterator[str]:
    seen = {(row.kind, row.zone) for row in catalogue.faults}
    for row in catalogue.zones:
        if row.view not in VIEWS:
            yield f"zone {row.key} of {row.kind} is on an unknown view: {row.view}"
        if (row.kind, row.key) not in seen:
            yield f"zone {row.key} of {row.kind} has no fault"


def _fault(catalogue: "Catalogue", row: Fault) -> Iterator[str]:
    if (row.kind, row.zone) not in catalogue.zone_keys:
        yield f"{name_of(row)} is in an unknown zone: {row.zone} of {row.kind}"
    if len(row.label) > LONGEST_LABEL:
        yield f"{name_of(row)} has a label longer than {LONGEST_LABEL} letters"
    yield from _stages(name_of(row), row.stages)
    links = catalogue.links_by_fault.get(row.key, [])
    if not links:
        yield f"nothing explains {name_of(row)}"
    elif not _answers(catalogue, row, links[0]):
        yield f"{name_of(row)} has no alteration for its strongest cause, {links[0].cause}"


def _answers(catalogue: "Catalogue", fault: Fault, link: Link) -> bool:
    rows = catalogue.remedies_by_cause.get((link.cause, fault.kind), [])
    return any(not row.faults or fault.key in row.faults for row in rows)


def _cause(catalogue: "Catalogue", row: Cause) -> Iterator[str]:
    if row.where not in WHERE:
        yield f"{name_of(row)} is in an unknown place: {row.where}"
    if row.how_common not in HOW_COMMON:
        yield f"{name_of(row)} is common by an unknown step: {row.how_common}"
    pointed = {
        catalogue.fault_by_key[link.fault].kind
        for link in catalogue.links
        if link.cause == row.key and link.fault in catalogue.fault_by_key
    }
    for kind in row.kinds:
        if kind not in pointed:
            yield f"nothing points at {name_of(row)} in {kind}"
        if (row.key, kind) not in catalogue.remedies_by_cause:
            yield f"{name_of(row)} has no remedy in {kind}"


def _link(catalogue: "Catalogue", row: Link) -> Iterator[str]:
    cause, fault = catalogue.cause_by_key.get(row.cause), catalogue.fault_by_key.get(row.fault)
    if cause is None:
        yield f"{name_of(row)} names an unknown cause"
    if fault is None:
        yield f"{name_of(row)} names an unknown fault"
    if cause and fault and fault.kind not in cause.kinds:
        yield f"{name_of(row)} joins a cause that {fault.kind} cannot have"
    if row.strength not in STRENGTHS:
        yield f"{name_of(row)} has an unknown strength: {row.strength}"
    if row.side not in ("", "L", "R") or (row.side and fault and not fault.sided):
        yield f"{name_of(row)} has a side that cannot be seen: {row.side}"


def _order(catalogue: "Catalogue") -> Iterator[str]:
    """The sources give causes best first: strength may not rise down the file."""
    for one, then in pairwise(catalogue.links):
        if one.fault == then.fault and STRENGTHS.get(one.strength, 1) < STRENGTHS.get(
            then.strength, 0
        ):
            yield f"{name_of(then)} is stronger than the one before it"


def _answered(catalogue: "Catalogue") -> Iterator[str]:
    """Whatever cause is taken for a fault, at every stage it shows there is something to do.

    To leave it counts, when a row says so.
    """
    for link in catalogue.links:
        fault = catalogue.fault_by_key.get(link.fault)
        if fault is None:
            continue
        rows = catalogue.remedies_by_cause.get((link.cause, fault.kind), [])
        done = {
            stage
            for row in rows
            if not row.faults or fault.key in row.faults
            for stage in row.stages
        }
        for stage in fault.stages:
            if stage in STAGES and stage not in done:
                yield f"{name_of(link)} has no remedy at the stage {stage}"


def _remedy(catalogue: "Catalogue", row: Remedy) -> Iterator[str]:
    cause = catalogue.cause_by_key.get(row.cause)
    if cause is None:
        yield f"{name_of(row)} is for an unknown cause"
    elif row.kind not in cause.kinds:
        yield f"{name_of(row)} is for a cause that {row.kind} cannot have"
    for key in row.faults:
        if (row.cause, key) in catalogue.retired_links:
            continue
        if key not in catalogue.fault_by_key:
            yield f"{name_of(row)} names an unknown fault: {key}"
        elif row.cause not in {link.cause for link in catalogue.links_by_fault.get(key, [])}:
            yield f"{name_of(row)} names a fault its cause does not show as: {key}"
    yield from _stages(name_of(row), row.stages)
    yield from _work(row)


def _work(row: Remedy) -> Iterator[str]:
    try:
        operation, seam = operation_of(row.operation), seam_of(row.kind, row.seam)
    except UnknownKeyError as error:
        yield f"{name_of(row)}: {error}"
        return
    if seam.key not in operation.seams(row.kind):
        yield f"{name_of(row)} is not done at that seam"
    if operation.takes_amount != (row.factor is not None):
        yield f"{name_of(row)} has an amount rule and no amount, or the other way about"
    if row.factor is not None and row.factor <= 0:
        yield f"{name_of(row)} has an amount rule that gives nothing"
    if row.most is not None and row.most < row.least:
        yield f"{name_of(row)} allows less than its least amount"
    if row.side not in SIDES or (row.side and not (operation.sided and seam.sided)):
        yield f"{name_of(row)} has a side where there is none"


def _test(catalogue: "Catalogue", row: SpotTest) -> Iterator[str]:
    if not row.yes:
        yield f"{name_of(row)} tells of no cause"
    for key, step in row.yes.items():
        cause = catalogue.cause_by_key.get(key)
        if cause is None:
            yield f"{name_of(row)} names an unknown cause: {key}"
        elif not set(cause.kinds) & set(row.kinds):
            yield f"{name_of(row)} is done where its cause cannot be: {key}"
        if step not in STRENGTHS:
            yield f"{name_of(row)} has an unknown step: {step}"
    if row.kinds == () or not set(row.kinds) <= {zone.kind for zone in catalogue.zones}:
        yield f"{name_of(row)} is for unknown garments: {', '.join(row.kinds) or 'none'}"
    if not set(row.needs) <= set(NEEDS):
        yield f"{name_of(row)} needs something unknown: {', '.join(row.needs)}"
    if row.needs and not row.caution.strip():
        yield f"{name_of(row)} needs to {' and '.join(row.needs)} and has no caution"
    if not row.asks.endswith("?"):
        yield f"{name_of(row)} asks no question"
    yield from _stages(name_of(row), row.stages)


def _stages(name: str, stages: tuple[str, ...]) -> Iterator[str]:
    if not stages or not set(stages) <= set(STAGES):
        yield f"{name} has unknown stages: {', '.join(stages) or 'none'}"
