"""What every operation does to the finished measures, by arithmetic, in inches.

One row an operation, worked by hand for 1/4 in: girth counts both edges of every seam sewn anew.
Sources: the issue's own sum (both side seams, both edges, 1/4 in give 1 in); Vincent's Ladies'
Garments, page image 58 (back and front balance by the amount); Thickett, 1949, trousers t1 to t3;
the rest is the arithmetic of the seam, or common practice, no source, as `effects.toml` says on
each row.
"""

import pytest

from customers.lengths import Length, parse
from garments import seams
from garments.cutting import POINTS

QUARTER = parse("1/4")
# kind, operation, seam, side: the measures that move and by how much.
TABLE = """
coat let-out side-seam both: chest 1, waist 1, seat 1
coat let-out side-seam L: chest 1/2, waist 1/2, seat 1/2
coat let-out centre-back -: back-width 1/2, chest 1/2, waist 1/2, seat 1/2
coat let-out underarm-seam both: chest 1, waist 1
coat let-out hindarm both: cuff 1/2
coat let-out hindarm R: cuff 1/4
coat let-out vent both:
waistcoat let-out side-seam both: chest 1, waist 1
trousers let-out side-seam both: waist 1, seat 1, thigh 1/2, knee 1/2, bottom 1/2
trousers let-out seat-seam -: waist 1/2, seat 1/2
trousers let-out leg-seam both: thigh 1/2, knee 1/2
coat take-in side-seam both: chest -1, waist -1, seat -1
coat take-in forearm both: cuff -1/2
waistcoat take-in centre-back -: chest -1/2, waist -1/2
trousers take-in seat-seam -: waist -1/2, seat -1/2
coat let-out-waist side-seam both: waist 1
trousers let-out-waist seat-seam -: waist 1/2
coat take-in-waist centre-back -: waist -1/2
coat let-out-seat side-seam both: seat 1
trousers take-in-seat side-seam both: seat -1
overcoat let-out-below side-seam both: waist 1, seat 1
trousers take-in-below side-seam both: waist -1, seat -1
trousers widen-bottom leg-seam both: bottom 1/2
trousers narrow-bottom side-seam both: bottom -1/2
coat pass-up side-seam both: scye-depth 1/4, button-height 1/4
waistcoat pass-up side-seam both: opening 1/4
coat pass-down side-seam both: scye-depth -1/4, button-height -1/4
coat let-down-shoulder shoulder-seam both: front-balance 1/4, button-height 1/4
coat let-down-shoulder shoulder-seam R: front-balance 1/8, button-height 1/8
waistcoat pick-up-shoulder shoulder-seam both: opening -1/4
coat pick-up-shoulder shoulder-seam both: front-balance -1/4, button-height -1/4
coat crooken shoulder-seam both:
coat straighten shoulder-seam both:
coat let-out-shoulder-end shoulder-seam both:
coat take-in-shoulder-end shoulder-seam R:
coat pad-shoulder shoulder-seam L:
coat sink-neck gorge both:
waistcoat sink-back-neck back-neck -: back-length -1/4, opening -1/4
coat raise-neck back-neck -: back-length 1/4, scye-depth 1/4, button-height 1/4, front-balance 1/4
coat narrow-neck centre-back -:
coat widen-neck centre-back -:
coat narrow-shoulder scye both: shoulder/L -1/4, shoulder/R -1/4
coat widen-shoulder scye L: shoulder/L 1/4
coat deepen-scye scye both: scye-depth 1/4
coat raise-scye scye both: scye-depth -1/4
coat advance-scye scye both:
coat set-scye-back scye both:
coat lengthen-head sleeve-head R: sleeve/R 1/4
coat shorten-head sleeve-head both: sleeve/L -1/4, sleeve/R -1/4
coat ease-sleeve-head sleeve-head both:
coat rotate-sleeve-forward sleeve-head both:
coat rotate-sleeve-back sleeve-head both:
coat shorten-collar collar-seam -:
coat lengthen-collar collar-seam -:
coat redress-collar collar-seam -:
coat draw-in-edge front-edge both:
coat reshape-edge front-edge both:
coat put-in-gore gorge both:
coat move-buttons-in buttons -: waist -1/4
waistcoat move-buttons-out buttons -: chest 1/4, waist 1/4
trousers move-buttons-in waistband -: waist -1/4
coat raise-button-point buttons -: button-height -1/4
coat lower-button-point buttons -: button-height 1/4
waistcoat raise-opening front-edge -: opening -1/4
waistcoat lower-opening front-edge -: opening 1/4
waistcoat reset-strap strap -:
coat let-down-hem hem both: back-length 1/4
coat raise-hem hem both: back-length -1/4
trousers raise-hem hem L: inside-leg/L -1/4, side-length/L -1/4
trousers let-down-hem hem R: inside-leg/R 1/4, side-length/R 1/4
overcoat lengthen-cuff cuff both: sleeve/L 1/4, sleeve/R 1/4
coat shorten-cuff cuff R: sleeve/R -1/4
trousers shorten-rise waistband -: rise -1/4, side-length/L -1/4, side-length/R -1/4
trousers lengthen-rise waistband -: rise 1/4, side-length/L 1/4, side-length/R 1/4
trousers shorten-back-rise waistband -:
trousers lengthen-back-rise waistband -:
trousers shorten-front-rise waistband -:
trousers lengthen-front-rise waistband -:
trousers increase-seat-angle seat-seam -:
trousers reduce-seat-angle seat-seam -:
trousers let-out-fork fork both: thigh 1/4
trousers take-in-fork fork both: thigh -1/4
trousers advance-fly fly -: waist 1/4
trousers close-leg leg-seam both:
trousers open-leg leg-seam both:
trousers pass-underside-up side-seam both:
trousers pass-underside-down side-seam both:
coat stretch-seam side-seam both:
coat release-lining lining both:
coat remake-canvas canvas both:
coat press-shape hem both:
trousers recut seat-seam -:
coat leave hem both:
"""
ROWS = [tuple(row.split(":")) for row in TABLE.strip().splitlines()]
EVERY_PLACE = [
    (kind, op.key, at)
    for kind in seams.KINDS
    for op in seams.operations(kind)
    for at in op.at[kind]
]


def told(text):
    """`sleeve/R -1/4, waist 1` as {(point, side): length}."""
    pairs = [part.split() for part in text.split(",") if part.strip()]
    return {
        tuple(f"{point}/".split("/")[:2]): parse(amount, signed=True) for point, amount in pairs
    }


@pytest.mark.parametrize(("where", "moved"), ROWS, ids=[row[0] for row in ROWS])
def test_effect_is_what_the_seam_adds_up_to(where, moved):
    kind, operation, seam, side = where.split()

    found = seams.moves(kind, operation, seam, side.strip("-"))

    assert {at: seams.moved_by(times, QUARTER) for at, times in found.items()} == told(moved)


def test_table_has_every_operation():
    keys = {op.key for kind in seams.KINDS for op in seams.operations(kind)}

    assert {where.split()[1] for where, _ in ROWS} == keys


@pytest.mark.parametrize("place", EVERY_PLACE, ids="-".join)
def test_effect_of_every_place_has_source_and_known_points(place):
    effect = seams.effect_at(*place)

    assert effect.why.endswith(".")
    assert effect.source
    assert effect.moves.keys() <= {point.key for point in POINTS[place[0]]}
    assert effect.most is None or Length(0) < effect.most <= seams.MOST


@pytest.mark.parametrize("place", EVERY_PLACE, ids="-".join)
def test_effect_of_one_side_is_half_of_both(place):
    one, both = (seams.moves(*place, side) for side in ("L", "both"))

    sided = {at for at in one if at[1]}

    assert {at: one[at] for at in sided} == {at: both[at] for at in sided}
    assert {at: 2 * one[at] for at in one if not at[1]} == {
        at: both[at] for at in both if not at[1]
    }


def test_what_undoes_an_operation_moves_the_other_way():
    """Twice there and back at the same seam leaves every measure where it was."""
    off = [
        (kind, key, other, at)
        for kind, key, at in EVERY_PLACE
        for other in seams.operation(key).against
        if at in seams.operation(other).seams(kind)
        for point, times in seams.effect_at(kind, key, at).moves.items()
        if times * seams.effect_at(kind, other, at).moves.get(point, -times) >= 0
    ]

    assert off == []


def test_effect_where_it_is_not_done_is_refused():
    with pytest.raises(seams.UnknownKeyError, match="not done at the seam “hem” of a coat"):
        seams.effect_at("coat", "let-out", "hem")


def test_limit_of_the_trade_is_kept_with_its_source():
    sinking = seams.effect_at("coat", "sink-neck", "back-neck")

    assert (sinking.most, sinking.source) == (parse("5/8"), "GG; TH c1")
