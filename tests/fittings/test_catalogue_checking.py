"""Every kind of broken row is named by the checker, in one sentence."""

from dataclasses import replace
from fractions import Fraction

import pytest

from customers.lengths import Length
from fittings import catalogue
from fittings.catalogue.checking import UNWRITTEN, check
from garments import seams

SHIPPED = catalogue.load()


def one(rows, **wanted):
    return next(r for r in rows if all(getattr(r, k) == v for k, v in wanted.items()))


def swapped(rows, old, **changes):
    return tuple(replace(row, **changes) if row is old else row for row in rows)


def test_shipped_catalogue_passes_its_checker():
    assert check(SHIPPED) == []


@pytest.mark.parametrize("kind", seams.KINDS)
def test_seams_and_operations_cite_the_same_sources(kind):
    cited = {
        part.split(" (")[0].strip()
        for row in (*seams.seams(kind), *seams.operations(kind))
        for part in row.source.split(";")
    }

    books = {text.replace(":", " ").split(" ")[0] for text in cited - set(UNWRITTEN)}

    assert books - set(SHIPPED.sources) <= {"worked"}


@pytest.mark.parametrize("table", ["zones", "faults", "causes", "links", "remedies", "tests"])
def test_checker_refuses_a_row_without_source(table):
    rows = getattr(SHIPPED, table)

    said = check(replace(SHIPPED, **{table: swapped(rows, rows[0], source=" ")}))

    assert [text for text in said if text.endswith("has no source")] == said
    assert len(said) == 1


BACK_SHORT = one(SHIPPED.links, cause="back-balance-short", fault="collar-stands-off")
PASS_UP = one(SHIPPED.remedies, cause="back-balance-short", kind="coat", operation="pass-up")
HEAD_UP = one(SHIPPED.tests, key="head-up")
RIP_COLLAR = one(SHIPPED.tests, key="rip-collar")
STANDS_OFF = "link back-balance-short to collar-stands-off"
PASSED = "remedy pass-up at side-seam for back-balance-short (coat)"


@pytest.mark.parametrize(
    ("table", "old", "changes", "said"),
    [
        ("links", BACK_SHORT, {"source": "QX 12"}, f"{STANDS_OFF} cites an unknown source: QX 12"),
        (
            "links",
            BACK_SHORT,
            {"strength": "mostly"},
            f"{STANDS_OFF} has an unknown strength: mostly",
        ),
        (
            "links",
            BACK_SHORT,
            {"strength": "rare"},
            "link shoulder-too-square to collar-stands-off is stronger than the one before it",
        ),
        ("links", BACK_SHORT, {"side": "R"}, f"{STANDS_OFF} has a side that cannot be seen: R"),
        (
            "links",
            BACK_SHORT,
            {"cause": "rain"},
            "link rain to collar-stands-off names an unknown cause",
        ),
        (
            "links",
            BACK_SHORT,
            {"fault": "rain"},
            "link back-balance-short to rain names an unknown fault",
        ),
        (
            "links",
            BACK_SHORT,
            {"cause": "fork-small"},
            "link fork-small to collar-stands-off joins a cause that coat cannot have",
        ),
        (
            "zones",
            SHIPPED.zones[0],
            {"view": "top"},
            "zone collar of coat is on an unknown view: top",
        ),
        (
            "zones",
            SHIPPED.zones[0],
            {"key": "hat"},
            "zone hat of coat has no fault",
        ),
        (
            "faults",
            catalogue.fault("waist-x"),
            {"zone": "fork"},
            "fault waist-x is in an unknown zone: fork of coat",
        ),
        (
            "faults",
            catalogue.fault("waist-x"),
            {"label": "x" * 29},
            "fault waist-x has a label longer than 28 letters",
        ),
        (
            "faults",
            catalogue.fault("waist-x"),
            {"stages": ("ironing",)},
            "fault waist-x has unknown stages: ironing",
        ),
        (
            "causes",
            catalogue.cause("neck-too-narrow"),
            {"where": "weather"},
            "cause neck-too-narrow is in an unknown place: weather",
        ),
        (
            "causes",
            catalogue.cause("neck-too-narrow"),
            {"kinds": ("coat", "trousers")},
            "nothing points at cause neck-too-narrow in trousers",
        ),
        (
            "causes",
            catalogue.cause("neck-too-narrow"),
            {"kinds": ("coat", "trousers")},
            "cause neck-too-narrow has no remedy in trousers",
        ),
        (
            "causes",
            catalogue.cause("neck-too-narrow"),
            {"how_common": "now and then"},
            "cause neck-too-narrow is common by an unknown step: now and then",
        ),
        (
            "causes",
            catalogue.cause("neck-too-narrow"),
            {"how_common_source": ""},
            "how common cause neck-too-narrow is has no source",
        ),
        (
            "remedies",
            PASS_UP,
            {"cause": "rain"},
            "remedy pass-up at side-seam for rain (coat) is for an unknown cause",
        ),
        (
            "remedies",
            PASS_UP,
            {"operation": "mend"},
            (
                "remedy mend at side-seam for back-balance-short (coat): "
                "There is no operation called “mend”."
            ),
        ),
        (
            "remedies",
            PASS_UP,
            {"seam": "fork"},
            (
                "remedy pass-up at fork for back-balance-short (coat): "
                "A coat has no seam called “fork”."
            ),
        ),
        (
            "remedies",
            PASS_UP,
            {"seam": "hem"},
            "remedy pass-up at hem for back-balance-short (coat) is not done at that seam",
        ),
        (
            "remedies",
            PASS_UP,
            {"kind": "trousers"},
            (
                "remedy pass-up at side-seam for back-balance-short (trousers) "
                "is for a cause that trousers cannot have"
            ),
        ),
        (
            "remedies",
            PASS_UP,
            {"factor": None},
            f"{PASSED} has an amount rule and no amount, or the other way about",
        ),
        (
            "remedies",
            PASS_UP,
            {"factor": Fraction(-1)},
            f"{PASSED} has an amount rule that gives nothing",
        ),
        ("remedies", PASS_UP, {"most": Length(1)}, f"{PASSED} allows less than its least amount"),
        ("remedies", PASS_UP, {"stages": ()}, f"{PASSED} has unknown stages: none"),
        ("remedies", PASS_UP, {"side": "top"}, f"{PASSED} has a side where there is none"),
        ("remedies", PASS_UP, {"faults": ("rain",)}, f"{PASSED} names an unknown fault: rain"),
        (
            "remedies",
            PASS_UP,
            {"faults": ("waist-x",)},
            f"{PASSED} names a fault its cause does not show as: waist-x",
        ),
        ("tests", HEAD_UP, {"yes": {}}, "test head-up tells of no cause"),
        ("tests", HEAD_UP, {"yes": {"rain": "rare"}}, "test head-up names an unknown cause: rain"),
        (
            "tests",
            HEAD_UP,
            {"yes": {"fork-small": "rare"}},
            "test head-up is done where its cause cannot be: fork-small",
        ),
        (
            "tests",
            HEAD_UP,
            {"yes": {"collar-too-long": "mostly"}},
            "test head-up has an unknown step: mostly",
        ),
        ("tests", HEAD_UP, {"kinds": ("cape",)}, "test head-up is for unknown garments: cape"),
        ("tests", HEAD_UP, {"kinds": ()}, "test head-up is for unknown garments: none"),
        ("tests", HEAD_UP, {"needs": ("scold",)}, "test head-up needs something unknown: scold"),
        ("tests", HEAD_UP, {"asks": "It comes back."}, "test head-up asks no question"),
        ("tests", HEAD_UP, {"stages": ()}, "test head-up has unknown stages: none"),
        (
            "tests",
            RIP_COLLAR,
            {"caution": " "},
            "test rip-collar needs to rip and has no caution",
        ),
    ],
)
def test_checker_names_each_broken_row(table, old, changes, said):
    broken = replace(SHIPPED, **{table: swapped(getattr(SHIPPED, table), old, **changes)})

    assert [text for text in check(broken) if text == said] == [said]


@pytest.mark.parametrize(
    ("table", "keep", "said"),
    [
        ("links", lambda row: row.fault != "waist-x", "nothing explains fault waist-x"),
        (
            "links",
            lambda row: row.cause != "neck-too-narrow",
            "nothing points at cause neck-too-narrow in coat",
        ),
        (
            "remedies",
            lambda row: row.cause != "neck-too-narrow",
            "cause neck-too-narrow has no remedy in coat",
        ),
        (
            "remedies",
            lambda row: row.cause != "neck-too-narrow",
            "fault back-wrinkle-high has no alteration for its strongest cause, neck-too-narrow",
        ),
        (
            "remedies",
            lambda row: row.cause != "scye-too-deep" or "finished" not in row.stages,
            "link scye-too-deep to scye-low has no remedy at the stage finished",
        ),
    ],
)
def test_checker_names_what_is_missing(table, keep, said):
    fewer = replace(SHIPPED, **{table: tuple(filter(keep, getattr(SHIPPED, table)))})

    assert [text for text in check(fewer) if text == said] == [said]


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("zones", "zone collar of coat stands twice"),
        ("faults", "fault collar-stands-off stands twice"),
        ("causes", "cause back-balance-short stands twice"),
        ("links", f"{STANDS_OFF} stands twice"),
        ("tests", f"test {SHIPPED.tests[0].key} stands twice"),
    ],
)
def test_checker_names_a_row_that_stands_twice(table, said):
    rows = getattr(SHIPPED, table)

    assert check(replace(SHIPPED, **{table: (*rows, rows[0])})) == [said]
