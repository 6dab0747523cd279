"""The catalogue of faults, causes, links and remedies.

Checked against the order in which published sources give the causes of a sign, and the figures
they give for an alteration; each is named beside its row, by the keys of the catalogue's own
list of sources. Rounding to 1/8 in and the numbers behind the five steps of strength are common
practice, no source.
"""

from dataclasses import FrozenInstanceError, replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.lengths import Length, parse
from fittings import catalogue
from fittings.catalogue import reading
from fittings.catalogue.checking import check
from garments import seams

SHIPPED = catalogue.load()
KEYS = [row.key for row in SHIPPED.faults]
MEASURED = [row.key for row in SHIPPED.faults if row.measured]
ZONES = {
    "coat": "collar shoulder sleeve-head armhole chest lapel sleeve waist button length back seat "
    "vents fronts",
    "waistcoat": "neck shoulder armhole chest opening back waist length fronts",
    "trousers": "waistband front-rise fork seat hip thigh knee leg calf bottom",
}


def links_of(kind):
    return [link for link in SHIPPED.links if catalogue.fault(link.fault).kind == kind]


def one(rows, **wanted):
    return next(r for r in rows if all(getattr(r, k) == v for k, v in wanted.items()))


def swapped(rows, old, **changes):
    return tuple(replace(row, **changes) if row is old else row for row in rows)


# The rows


def test_shipped_catalogue_passes_its_checker():
    assert check(SHIPPED) == []


def test_catalogue_is_read_only_once():
    assert catalogue.load() is SHIPPED


@pytest.mark.parametrize(
    ("kind", "faults", "causes", "links"),
    [("coat", 45, 30, 160), ("waistcoat", 10, 10, 30), ("trousers", 15, 15, 45)],
)
def test_catalogue_is_as_full_as_promised(kind, faults, causes, links):
    assert len(catalogue.faults(kind)) >= faults
    assert len([row for row in SHIPPED.causes if kind in row.kinds]) >= causes
    assert len(links_of(kind)) >= links


@pytest.mark.parametrize(("kind", "keys"), ZONES.items())
def test_zones_run_top_to_bottom(kind, keys):
    rows = catalogue.zones(kind)

    assert [row.key for row in rows] == keys.split()
    assert [row.key for row in rows if not row.standard.endswith(".")] == []


@pytest.mark.parametrize("kind", ZONES)
def test_faults_follow_the_zones(kind):
    in_zones = [f for z in catalogue.zones(kind) for f in catalogue.faults(kind, z.key)]

    assert in_zones == list(catalogue.faults(kind))


def test_faults_of_a_stage_leave_out_what_cannot_show():
    at_baste = {row.key for row in catalogue.faults("coat", "lapel", "baste")}

    assert "lapel-bows" in at_baste
    assert "lapel-edge-curls" not in at_baste


def test_overcoat_is_read_by_the_coat():
    assert catalogue.zones("overcoat") == catalogue.zones("coat")
    assert catalogue.faults("overcoat", "vents") == catalogue.faults("coat", "vents")
    assert catalogue.remedies_for("waist-x", "overcoat") == catalogue.remedies_for(
        "waist-x", "coat"
    )


@pytest.mark.parametrize("key", KEYS)
def test_fault_reads_as_sentences(key):
    row = catalogue.fault(key)

    assert row.sign.endswith(".")
    assert row.look.endswith((".", "?"))
    assert row.label[0].isupper()


def test_labels_differ_within_a_garment():
    for kind in ZONES:
        tiles = [(row.zone, row.label) for row in catalogue.faults(kind)]

        assert len(set(tiles)) == len(tiles)


@pytest.mark.parametrize("zone", ["seat", "fork", "front-rise"])
def test_zone_that_is_touched_carries_a_caution(zone):
    assert catalogue.zone("trousers", zone).caution.endswith(".")


def test_rows_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        catalogue.fault("waist-x").label = "X"


@pytest.mark.parametrize(
    ("look_up", "said"),
    [
        (lambda: catalogue.fault("nought"), "There is no fault called “nought”."),
        (lambda: catalogue.cause("nought"), "There is no cause called “nought”."),
        (lambda: catalogue.zones("cape"), "There is no garment kind called “cape”."),
        (lambda: catalogue.faults("coat", "fork"), "There is no coat zone called “fork”."),
        (lambda: catalogue.causes_of("nought"), "There is no fault called “nought”."),
        (lambda: catalogue.remedies_of("nought", "coat"), "There is no cause called “nought”."),
    ],
)
def test_unknown_key_is_named(look_up, said):
    with pytest.raises(KeyError) as refused:
        look_up()

    assert str(refused.value) == said


# The order of causes, as the sources give it


@pytest.mark.parametrize(
    ("fault", "best_first"),
    [
        # TH c2; AS2; PS: a back too short, then a shoulder too square, then collar or neck.
        ("collar-stands-off", "back-balance-short shoulder-too-square collar-too-long"),
        # JF; GG; RW; SF
        ("collar-roll-narrow", "back-balance-long neck-too-high"),
        # JF; MF; OJ; GQ
        ("collar-ridge-wide", "shoulder-too-sloping"),
        # TH c1
        ("collar-creases-round-neck", "shoulder-too-sloping neck-too-high"),
        # H 76
        ("collar-stretched-round", "neck-too-low neck-too-wide"),
        # VL 58
        ("back-folds-level", "back-balance-long"),
        ("chest-folds-level", "front-balance-long"),
        ("scye-creases-and-side-full", "front-balance-short"),
        # H 90 to 92
        ("waist-fold-behind", "back-balance-long"),
        # VS 253; VL 58
        ("waist-swings-off", "back-balance-short front-balance-long"),
        # SF; JF; RW
        ("hem-tips-out-behind", "back-balance-short front-balance-long"),
        # VS 253; SF; RW
        ("hem-up-in-front", "front-balance-short"),
        # MF
        ("shoulder-diagonals", "shoulder-too-square"),
        # VL 59
        ("shoulder-hollow-creases", "shoulder-too-crooked collar-too-short lining-tight"),
        # PE; SF; GQ; ED: tight first, then the stoop
        ("lapel-bows", "chest-small front-balance-long"),
        # JF; NW1; AK
        ("waist-x", "waist-tight"),
        # TM 25; FL
        ("vent-spreads", "hips-tight waist-tight"),
        # GG; ED
        ("back-lines-over-blades", "back-too-narrow"),
        # BR
        ("back-wrinkle-high", "neck-too-narrow"),
        # JF: room to reach before a fault
        ("back-fold-at-arm", "no-fault back-too-wide"),
        # H 87
        ("scye-cuts-front", "hips-tight waist-tight"),
        # H, the chapter on square shoulders
        ("head-breaks-at-arm", "sleeve-head-short"),
        # JF; FL
        ("sleeve-drags-behind", "sleeve-pitch-forward"),
        ("sleeve-drags-in-front", "sleeve-pitch-back"),
        # H 31; H 32
        ("vest-neck-stands-off", "no-neck-spring neck-too-low back-balance-short"),
        # H 82
        ("vest-opening-gapes", "edge-stretched"),
        # TH t1: the seat is the commoner of the two
        ("lap-full-when-seated", "seat-angle-small fork-small fly-receding"),
        # TH t2; PT3
        ("seat-spare-below", "seat-angle-large back-rise-long"),
        # TH t3
        ("leg-spare-at-fork", "leg-too-open"),
        # H 17; H 19
        ("fork-cuts", "side-top-small"),
        ("fork-cannot-draw-up", "fork-small"),
        ("seat-back-wrinkles-down", "front-waist-large"),
        # TM 25; PT3
        ("pockets-spread", "hips-tight stance-hips-forward"),
        # CPG 42
        ("leg-side-swings", "top-and-underside-unequal"),
    ],
)
def test_causes_keep_the_order_of_the_sources(fault, best_first):
    wanted = best_first.split()

    assert [link.cause for link in catalogue.causes_of(fault)][: len(wanted)] == wanted


@pytest.mark.parametrize("key", KEYS)
def test_causes_come_strongest_first(key):
    odds = [link.probability for link in catalogue.causes_of(key)]

    assert odds == sorted(odds, reverse=True)
    assert odds


def test_strengths_are_five_rising_probabilities():
    numbers = list(catalogue.STRENGTHS.values())

    assert numbers == sorted(set(numbers))
    assert [0 < n < 1 for n in numbers] == [True] * 5


def test_low_shoulder_is_a_cause_only_on_its_side():
    seen = {side: {k.cause for k in catalogue.causes_of("button-not-level", side)} for side in "LR"}

    assert "low-shoulder-R" in seen["R"] - seen["L"]
    assert "low-shoulder-L" in seen["L"] - seen["R"]


@pytest.mark.parametrize("fault", ["collar-low-all-round", "fronts-part", "fronts-cross"])
def test_sources_that_disagree_both_stand_with_a_note(fault):
    noted = [link for link in catalogue.causes_of(fault) if link.note]

    assert noted
    assert len(catalogue.causes_of(fault)) > len(noted)


# Remedies


@pytest.mark.parametrize("key", KEYS)
def test_every_suggestion_can_be_written_on_a_ticket(key):
    fault, measured = catalogue.fault(key), parse("1/2")
    seen = "R" if fault.sided else ""

    for offer in catalogue.remedies_for(key, fault.kind, side=seen):
        amount = offer.amount_for(measured)
        line = (fault.kind, offer.operation.key, offer.seam, offer.side_for(seen), amount)

        assert seams.refusals(*line) == []


@pytest.mark.parametrize("key", MEASURED)
def test_measured_fault_reaches_an_amount(key):
    fault = catalogue.fault(key)

    amounts = [o.amount_for(parse("1/2")) for o in catalogue.remedies_for(key, fault.kind)]

    assert any(amounts)


@pytest.mark.parametrize(
    ("fault", "measured", "work", "amount", "words"),
    [
        # GG: 5/8 is the limit of lowering a collar; 1/4 the least worth taking it off for.
        ("collar-roll-narrow", "3/8", "sink-neck back-neck", "3/8", "in all"),
        ("collar-roll-narrow", "1", "sink-neck back-neck", "5/8", "in all"),
        ("collar-roll-narrow", "1/8", "sink-neck back-neck", "1/4", "in all"),
        # Arithmetic: 1 in wanting in all is 1/2 at each of two side seams.
        ("waist-x", "1", "let-out side-seam", "1/2", "each side"),
        ("waist-x", "3/4", "let-out side-seam", "3/8", "each side"),
        ("waist-no-shape", "1", "take-in side-seam", "1/2", "each side"),
        # Arithmetic: a centre seam moves on both halves.
        ("back-loose-across", "1", "take-in centre-back", "1/2", "each side of the seam"),
        # VL 58: the fold across the chest is taken out at the shoulder.
        ("chest-folds-level", "1/2", "pick-up-shoulder shoulder-seam", "1/2", "each side"),
        # TH c2
        ("collar-stands-off", "3/8", "pass-up side-seam", "3/8", "each side"),
        # JF; FL
        ("sleeve-drags-behind", "3/8", "rotate-sleeve-back sleeve-head", "3/8", "each side"),
        # FL; PE
        ("sleeve-too-long", "1/4", "shorten-cuff cuff", "1/4", "each side"),
        # H:IVA: a gore of about 3/8
        ("vest-front-off-chest", "1/2", "put-in-gore neck-edge", "3/8", "each side"),
        # PT3
        ("seat-baggy", "1/2", "shorten-back-rise waistband", "1/2", "in all"),
        # VS 246: the leg seam holds 1/2, of which 1/4 stays inside.
        ("leg-spare-at-fork", "1", "close-leg leg-seam", "1/4", "each side"),
        # H 20: 1 in at the bottom is already a large move.
        ("leg-strains-striding", "2", "open-leg leg-seam", "1", "each side"),
    ],
)
def test_first_suggestion_is_the_usual_alteration(fault, measured, work, amount, words):
    first = catalogue.remedies_for(fault, catalogue.fault(fault).kind)[0]

    assert f"{first.operation.key} {first.seam}" == work
    assert first.amount_for(parse(measured)) == parse(amount)
    assert first.amount_words("") == words


def test_girth_is_altered_on_both_sides_whatever_side_showed_it():
    first = catalogue.remedies_for("lapel-bows", "coat", side="R")[0]

    assert first.operation.key == "let-out"
    assert first.side_for("R") == "both"


def test_low_shoulder_is_altered_on_its_own_side():
    first = catalogue.remedies_for("shoulder-one-low", "coat", side="L")[0]

    assert (first.cause.key, first.side_for("L")) == ("low-shoulder-L", "L")
    assert first.amount_words("L") == "in all, left side only"


def test_sleeve_is_altered_on_the_side_it_was_seen():
    first = catalogue.remedies_for("sleeve-drags-in-front", "coat", side="R")[0]

    assert [first.side_for(side) for side in ("R", "L", "both", "")] == ["R", "L", "both", "both"]


def test_stage_leaves_out_what_comes_too_late():
    late = catalogue.remedies_for("button-too-high", "coat", stage="finished")
    early = catalogue.remedies_for("button-too-high", "coat", stage="baste")

    assert "leave" in {offer.operation.key for offer in late}
    assert "leave" not in {offer.operation.key for offer in early}


@pytest.mark.parametrize("key", KEYS)
def test_same_alteration_is_offered_once(key):
    offers = catalogue.remedies_for(key, catalogue.fault(key).kind)

    places = [(o.remedy.operation, o.seam, o.remedy.side) for o in offers]

    assert len(set(places)) == len(places) > 0


def test_remedy_meant_for_the_fault_comes_first():
    rows = catalogue.remedies_of("back-balance-long", "coat", "collar-roll-narrow")
    elsewhere = catalogue.remedies_of("back-balance-long", "coat", "back-folds-level")

    assert rows[0].operation == "sink-neck"
    assert elsewhere[0].operation == "pass-down"


@pytest.mark.parametrize(
    ("measured", "amount"),
    [
        (None, None),
        ("0", None),
        ("1/16", "1/8"),
        ("1/8", "1/8"),
        ("3/8", "1/4"),
        ("-1", "1/2"),
        ("5/8", "3/8"),
        ("25 mm", "1/2"),
        ("4", "5/8"),
    ],
)
def test_amount_goes_to_the_nearest_eighth(measured, amount):
    row = one(catalogue.remedies_of("waist-tight", "coat"), seam="side-seam")
    length = parse(measured, signed=True) if measured else None

    assert row.factor == Fraction(1, 2)
    assert row.amount_for(length) == (parse(amount) if amount else None)


def test_left_over_says_what_the_alteration_cannot_give():
    row = one(catalogue.remedies_of("waist-tight", "coat"), seam="side-seam")

    assert row.left_over(parse("2")) == parse("3/8")
    assert row.left_over(parse("1")) == row.left_over(None) == Length(0)


@given(
    measured=st.integers(1, 60_000_000).map(Length),
    row=st.sampled_from([row for row in SHIPPED.remedies if row.factor]),
)
def test_amount_is_whole_eighths_within_its_bounds(measured, row):
    amount = row.amount_for(measured)

    assert amount.nm % seams.EIGHTH.nm == 0
    assert row.least <= amount
    assert row.most is None or amount <= row.most


@pytest.mark.parametrize(
    "row",
    [row for row in SHIPPED.remedies if seams.operation(row.operation).inlay == seams.USES],
    ids=lambda row: f"{row.kind}-{row.cause}-{row.operation}",
)
def test_most_stays_within_the_inlay_normally_left(row):
    seam = seams.seam(row.kind, row.seam)

    assert row.most is not None
    assert row.most <= seam.usable(seam.inlay)


# The checker refuses


@pytest.mark.parametrize("table", ["zones", "faults", "causes", "links", "remedies"])
def test_checker_refuses_a_row_without_source(table):
    rows = getattr(SHIPPED, table)

    said = check(replace(SHIPPED, **{table: swapped(rows, rows[0], source=" ")}))

    assert [text for text in said if text.endswith("has no source")] == said
    assert len(said) == 1


BACK_SHORT = one(SHIPPED.links, cause="back-balance-short", fault="collar-stands-off")
PASS_UP = one(SHIPPED.remedies, cause="back-balance-short", kind="coat", operation="pass-up")
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
    ],
)
def test_checker_names_a_row_that_stands_twice(table, said):
    rows = getattr(SHIPPED, table)

    assert check(replace(SHIPPED, **{table: (*rows, rows[0])})) == [said]


# Reading


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"key": "hat"}, "Cause “hat”"),
        ({"key": "hat", "colour": "grey"}, "colour"),
    ],
)
def test_row_that_does_not_fit_is_refused_with_its_key(row, said):
    with pytest.raises(reading.CatalogueError, match=said):
        reading.build(catalogue.Cause, row)


def test_amount_that_is_none_is_refused():
    row = {"operation": "pass-up", "seam": "side-seam", "max": "a thumb"}

    with pytest.raises(reading.CatalogueError, match="a thumb"):
        reading.build(catalogue.Remedy, row, cause="back-balance-short", kind="coat")


def test_row_without_source_is_left_to_the_checker():
    row = {"operation": "leave", "seam": "hem"}

    assert reading.build(catalogue.Remedy, row, cause="no-fault", kind="coat").source == ""
