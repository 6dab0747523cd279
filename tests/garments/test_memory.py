"""What past garments needed, by rule: each garment's own need, what is left out, the words."""

from dataclasses import replace

import pytest

from garments import memory, seams
from garments.memory import remember
from garments.seams import EIGHTH
from tests.garments.pasts import TODAY, carried, coat, done, only, told

# -- what one garment needed -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("altered", "needs"),
    [
        ([done()], [("let-out", "both", "1/4 in")]),
        ([done(side="L")], [("let-out", "L", "1/4 in")]),
        # both sides and one more: the sides need different amounts
        (
            [done(), done(side="L", amount="1/8")],
            [("let-out", "L", "3/8 in"), ("let-out", "R", "1/4 in")],
        ),
        # opposite operations cancel
        ([done(amount="1/2"), done("take-in", "1/8")], [("let-out", "both", "3/8 in")]),
        ([done(amount="1/8"), done("take-in", "1/2")], [("take-in", "both", "3/8 in")]),
        ([done(), done("take-in")], []),
        # a seam with one place only
        (
            [done("lengthen-collar", "1/4", seam="collar-seam", side="")],
            [("lengthen-collar", "", "1/4 in")],
        ),
        # an amount of nothing, and none at all
        ([done(amount="0")], []),
        ([done(amount="")], []),
        # odd amounts come out in eighths
        ([done(amount="5/16")], [("let-out", "both", "3/8 in")]),
        ([done(amount="1/32")], []),
        ([done(amount="6 mm")], [("let-out", "both", "1/4 in")]),
    ],
)
def test_one_garment_tells_its_own_net_need(altered, needs):
    assert told(coat(*altered)) == needs


@pytest.mark.parametrize(
    ("verdicts", "eighths"),
    [
        (["cured"], 2),
        (["better"], 2),
        (["same"], 0),
        (["worse"], 0),
        (["better", "cured"], 4),
        (["same", "cured"], 2),
    ],
)
def test_only_what_helped_was_needed(verdicts, eighths):
    ((need, _),) = memory.needs_of(
        coat(*(done(side="L", verdict=v) for v in verdicts))
    ).needs.values()

    assert need == eighths * EIGHTH.nm


def test_taking_back_what_did_not_help_is_no_need():
    wrong, back = done(verdict="worse"), done("take-in", "1/2")

    assert told(coat(wrong, back)) == [("take-in", "both", "1/4 in")]


@pytest.mark.parametrize(
    ("verdicts", "trust"), [(["cured"], 1), (["better"], 0.6), (["better", "cured"], 1)]
)
def test_better_alone_is_trusted_less(verdicts, trust):
    ((_, found),) = memory.needs_of(
        coat(*(done(side="L", verdict=v) for v in verdicts))
    ).needs.values()

    assert found == trust


def test_cure_the_other_way_leaves_better_in_doubt():
    told_ = memory.needs_of(
        coat(done(side="L", verdict="better"), done("take-in", "1/8", side="L"))
    )

    assert list(told_.needs.values()) == [(EIGHTH.nm, 0.6)]


def test_change_carried_before_still_counts_as_needed():
    settled = coat(carried=(carried(),))
    more = coat(done(amount="1/8"), carried=(carried(),))
    less = coat(done("take-in", "1/8"), carried=(carried(amount="1/2"),))

    assert [told(garment)[0][2] for garment in (settled, more, less)] == [
        "1/4 in",
        "3/8 in",
        "3/8 in",
    ]


def test_garment_without_an_alteration_needed_nothing_there():
    need = only(coat(done(amount="1/2"), years=2), coat(years=1))

    assert need.amount == EIGHTH
    assert [seen.amount.text("in") for seen in need.seen] == ["1/2 in", "0 in"]


@pytest.mark.parametrize(
    "silent",
    [
        coat(settled=False),
        coat(done(verdict="")),
        coat(done(verdict=""), settled=False),
        coat(carried=(carried(),), settled=False),
    ],
)
def test_garment_nobody_judged_says_nothing(silent):
    assert told(silent) == []
    assert only(silent, coat(done(), years=2)).count == 1


def test_garment_in_work_counts_where_it_was_judged():
    now = coat(done(), done("shorten-cuff", "1/4", seam="cuff", verdict=""), settled=False)

    assert told(now) == [("let-out", "both", "1/4 in")]


@pytest.mark.parametrize(
    ("operation", "seam", "why"),
    [
        ("redress-collar", "collar-seam", "the collar is made so, not cut"),
        ("ease-sleeve-head", "sleeve-head", "the fulness is laid again, not cut"),
        ("stretch-seam", "shoulder-seam", "it is worked with the iron, not cut"),
        ("pad-shoulder", "shoulder-seam", "wadding is put in, not cut"),
        ("let-out", "side-seam", "no amount was written"),
        ("steam-it", "side-seam", "the tables of the house no longer hold this operation"),
    ],
)
def test_what_helped_and_changes_no_pattern_is_left_out(operation, seam, why):
    found = remember("coat", [coat(done(operation, "", seam=seam))], on=TODAY)

    assert found.needs == ()
    assert [(row.garment, row.operation, row.why) for row in found.left_out] == [
        ("G1", operation, why)
    ]


def test_what_did_not_help_is_not_even_left_out():
    altered = (done("redress-collar", "", seam="collar-seam", verdict="same"), done("leave", ""))

    assert remember("coat", [coat(*altered)], on=TODAY).left_out == ()


def test_every_operation_is_sorted_once():
    keys = {row.key for kind in seams.KINDS for row in seams.operations(kind)}

    sorted_in = [bool(memory.way_of(key)) + (key in memory.NO_CHANGE) for key in keys]

    assert sorted_in == [1] * len(keys)


def test_every_pair_works_at_the_same_seams():
    """What one direction can do, the other can undo at the same place, or nothing is proposed."""
    lost = [
        (kind, family.more, seam)
        for kind in seams.KINDS
        for family in memory.FAMILIES
        if family.less
        for seam in seams.operation(family.more).seams(kind)
        if not memory.operation_at(family, kind, seam, more=False)
    ]

    assert lost == [("waistcoat", "raise-neck", "neck-edge")]


def test_waistcoat_back_neck_is_sunk_by_its_own_operation():
    sunk = done("sink-back-neck", "1/4", seam="back-neck", side="")

    assert told(coat(sunk), kind="waistcoat") == [("sink-back-neck", "", "1/4 in")]
    raised = replace(sunk, operation="raise-neck")
    assert told(coat(sunk, raised), kind="waistcoat") == []


def test_lines_come_in_working_order():
    altered = (
        done("lengthen-cuff", "1/4", seam="cuff"),
        done("let-out", "1/4"),
        done("pass-up", "1/4"),
    )

    assert [need[0] for need in told(coat(*altered))] == ["pass-up", "let-out", "lengthen-cuff"]


@pytest.mark.parametrize(
    ("amount", "texts"),
    [("6 mm", ["0.6 cm"]), ("7 mm", ["0.6 cm"]), ("1 cm", ["0.9 cm"]), ("1 mm", [])],
)
def test_metric_amounts_come_in_steps_of_three_millimetres(amount, texts):
    found = told(coat(done(amount=amount)), unit="cm")

    assert [need[2] for need in found] == texts


def test_unknown_kind_is_refused():
    with pytest.raises(seams.UnknownKindError):
        remember("cloak", [coat(done())], on=TODAY)


# -- warnings and words ----------------------------------------------------------------------------


def test_changed_figure_and_other_cut_are_told():
    one = coat(done(), changed=("Chest", "Waist"), cut="1")

    warnings = remember("coat", [one], on=TODAY, cut="2").warnings

    assert warnings == (
        "The figure has changed since G1 was cut: chest and waist.",
        "G1 was made by another cut: its ease is part of what was altered.",
    )


def test_garment_that_asks_for_nothing_warns_of_nothing():
    assert remember("coat", [coat(changed=("Chest",))], on=TODAY).warnings == ()


@pytest.mark.parametrize(
    ("amounts", "verdict", "words"),
    [
        (["1/4"], "cured", "Not sure: one garment alone needed 1/4 in"),
        (["1/4"], "better", "Not sure: one garment alone needed 1/4 in; not judged cured"),
        (
            ["1/4", "1/4"],
            "cured",
            "Not sure: 2 garments needed 1/4 and 1/4 in; likely 0 to 1/2 in",
        ),
        (
            ["3/8", "3/8"],
            "cured",
            "Fairly sure: 2 garments needed 3/8 and 3/8 in; likely 1/8 to 5/8 in",
        ),
        (
            ["3/8", "3/8", "1/2"],
            "cured",
            "Sure: 3 garments needed 3/8, 3/8 and 1/2 in; likely 1/4 to 5/8 in",
        ),
        (
            ["0", "1/2", "1/8"],
            "cured",
            "Not sure: 3 garments needed 0, 1/2 and 1/8 in; likely -1/8 to 3/8 in",
        ),
    ],
)
def test_sureness_is_told_with_count_spread_and_range(amounts, verdict, words):
    garments = [
        coat(done(amount=amount, verdict=verdict), years=3 - number)
        for number, amount in enumerate(amounts)
    ]

    assert only(*garments).sure_words("in") == words


def test_amount_is_never_told_without_its_side():
    need = only(coat(done(seam="centre-back", side="")))

    assert (need.words, need.amount_words("in")) == (
        "Let out, centre back seam",
        "1/4 in each side of the seam",
    )
