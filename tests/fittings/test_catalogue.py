"""The catalogue of faults, causes, links and remedies.

Checked against the order in which published sources give the causes of a sign, and the figures
they give for an alteration; each is named beside its row, by the keys of the catalogue's own
list of sources. Rounding to 1/8 in and the numbers behind the five steps of strength are common
practice, no source.
"""

from dataclasses import FrozenInstanceError

import pytest

from fittings import catalogue
from fittings.catalogue import reading

SHIPPED = catalogue.load()
KEYS = [row.key for row in SHIPPED.faults]
ZONES = {
    "coat": "collar shoulder sleeve-head armhole chest lapel sleeve waist button length back seat "
    "vents fronts",
    "waistcoat": "neck shoulder armhole chest opening back waist length fronts",
    "trousers": "waistband front-rise fork seat hip thigh knee leg calf bottom",
}


def links_of(kind):
    return [link for link in SHIPPED.links if catalogue.fault(link.fault).kind == kind]


# The rows


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
        # DL: the arm first, then its setting
        ("sleeves-differ", "arms-differ sleeve-setting"),
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


def test_causes_are_common_in_five_rising_steps():
    numbers = list(catalogue.HOW_COMMON.values())

    assert numbers == sorted(set(numbers))
    assert [0 < n < 0.5 for n in numbers] == [True] * 5


@pytest.mark.parametrize(
    ("commoner", "rarer"),
    [
        # GQ: over half of people carry the right shoulder low.
        ("low-shoulder-R", "low-shoulder-L"),
        # JF calls an arm further forward than the sleeve rare.
        ("sleeve-pitch-forward", "sleeve-pitch-back"),
        # TH t1: a small seat angle is the more frequent.
        ("seat-angle-small", "fly-receding"),
        # H 20: among the commonest faults of trousers that else fit.
        ("leg-too-open", "leg-too-close"),
    ],
)
def test_commoner_cause_is_likelier_beforehand(commoner, rarer):
    assert catalogue.cause(commoner).prior > catalogue.cause(rarer).prior


# Tests on the spot


def spot_test(key):
    return next(row for row in SHIPPED.tests if row.key == key)


@pytest.mark.parametrize(
    ("key", "yes", "no"),
    [
        # VL 59: rip the collar, open the lining; what neither clears is the shape.
        ("rip-collar", "collar-too-short", "shoulder-too-crooked"),
        ("open-lining", "lining-tight", "shoulder-too-crooked"),
        # H 87: open the sides and the arm comes free.
        ("open-side-seam", "hips-tight", "scye-too-tight"),
        # MF: a pad under the end of the shoulder.
        ("pad-shoulder-end", "shoulder-too-square", "back-balance-short"),
        # TH c1: cramped over the bone or not.
        ("finger-at-bone", "shoulder-too-sloping", "neck-too-high"),
        # TH t3; H 20: the feet apart.
        ("feet-apart", "leg-too-open", "fork-large"),
        # H 17; H 19
        ("open-side-at-hip", "side-top-small", "fork-small"),
        ("trouser-strap-off", "front-waist-large", "back-rise-long"),
    ],
)
def test_spot_test_tells_causes_apart_as_its_source(key, yes, no):
    row = spot_test(key)

    assert row.likelihood(yes) > 0.5 > row.likelihood(no)


def test_spot_tests_naming_two_of_the_causes_come_first():
    rows = SHIPPED.tests_for(["collar-too-short", "back-balance-long"], "coat")

    named = [len({"collar-too-short", "back-balance-long"} & set(row.yes)) for row in rows]
    assert named == sorted(named, reverse=True)
    assert (named[0], named[-1]) == (2, 1)


def test_spot_tests_keep_to_garment_and_stage():
    late = SHIPPED.tests_for(["hips-tight"], "overcoat", "finished")

    assert "open-side-seam" not in {row.key for row in late}
    assert "feel-hips" in {row.key for row in late}
    assert {kind for row in late for kind in row.kinds} <= {"coat", "waistcoat"}


def test_spot_tests_say_nothing_of_a_retired_cause():
    retired = catalogue.Change(catalogue.cause("sleeve-pitch-back"), retired=True)

    left = SHIPPED.with_changes([retired])

    assert [row.key for row in left.tests if "sleeve-pitch-back" in row.yes] == []
    assert {row.key for row in SHIPPED.tests} - {row.key for row in left.tests} == set()


def test_spot_tests_for_no_cause_are_none():
    assert SHIPPED.tests_for([]) == ()


def test_low_shoulder_is_a_cause_only_on_its_side():
    seen = {side: {k.cause for k in catalogue.causes_of("button-not-level", side)} for side in "LR"}

    assert "low-shoulder-R" in seen["R"] - seen["L"]
    assert "low-shoulder-L" in seen["L"] - seen["R"]


@pytest.mark.parametrize("fault", ["collar-low-all-round", "fronts-part", "fronts-cross"])
def test_sources_that_disagree_both_stand_with_a_note(fault):
    noted = [link for link in catalogue.causes_of(fault) if link.note]

    assert noted
    assert len(catalogue.causes_of(fault)) > len(noted)


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
