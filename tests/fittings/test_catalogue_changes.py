"""The house's rows laid over the shipped ones: what is seen, what goes, what is refused."""

import json
from contextlib import nullcontext
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from customers.lengths import Length, parse
from fittings import catalogue
from fittings.catalogue import changes
from fittings.catalogue.changes import Change, ChangeRefusedError
from fittings.catalogue.checking import check

SHIPPED = catalogue.load()
ROWS = (*SHIPPED.faults, *SHIPPED.causes, *SHIPPED.links, *SHIPPED.remedies)
ANN = "house: Ann Weir"
ROPE = catalogue.Fault(
    key="house-sleeve-rope",
    kind="coat",
    zone="sleeve",
    label="Rope down the sleeve",
    sign="A twisted rope of cloth runs down the sleeve.",
    look="From the side, the arm hanging.",
    source=ANN,
)
LINK = catalogue.Link(
    cause="sleeve-pitch-back", fault="house-sleeve-rope", strength="usually", source=ANN
)
TWIST = catalogue.Cause(
    key="house-lining-twisted",
    name="Lining twisted in the sleeve",
    kinds=("coat",),
    where="making",
    words="The lining was set in turned, and turns the sleeve.",
    source=ANN,
)
TWIST_LINK = replace(LINK, cause=TWIST.key)
TWIST_REMEDY = catalogue.Remedy(
    cause=TWIST.key, kind="coat", operation="release-lining", seam="lining", source=ANN
)


def one(rows, **wanted):
    return next(r for r in rows if all(getattr(r, k) == v for k, v in wanted.items()))


def added(*rows):
    return [Change(row) for row in rows]


WITH_ROPE = SHIPPED.with_changes(added(ROPE, LINK))
WITH_TWIST = SHIPPED.with_changes(added(ROPE, TWIST, TWIST_LINK, TWIST_REMEDY))


def test_no_change_is_the_same_catalogue():
    assert SHIPPED.with_changes([]) is SHIPPED


def test_every_row_laid_over_itself_changes_nothing():
    assert SHIPPED.with_changes(added(*ROWS)) == SHIPPED


def test_every_row_comes_back_from_its_columns():
    kept = [(changes.table_of(row), json.dumps(changes.columns(row))) for row in ROWS]

    assert [changes.read(table, json.loads(text)) for table, text in kept] == list(ROWS)


@given(
    st.builds(Length, st.integers(1, 10**8)),
    st.fractions(min_value=Fraction(1, 64), max_value=2, max_denominator=64),
)
@settings(max_examples=40)
def test_amount_rule_comes_back_exactly_from_its_columns(least, factor):
    row = replace(SHIPPED.remedies[0], least=least, most=least + least, factor=factor)

    assert changes.read("remedy", json.loads(json.dumps(changes.columns(row)))) == row


def test_no_two_rows_share_table_and_key():
    assert len(SHIPPED.row_by_key) == len(ROWS)


def test_no_shipped_key_looks_like_the_houses():
    keys = [row.key for row in (*SHIPPED.faults, *SHIPPED.causes)]

    assert [key for key in keys if key.startswith(changes.OWN)] == []


def test_shipped_rows_stay_recognisable_beside_the_houses():
    origins = {row.key: row.origin for row in WITH_ROPE.faults}

    assert origins.pop(ROPE.key) == catalogue.HOUSE
    assert set(origins.values()) == {catalogue.SHIPPED}


def test_changed_row_is_seen_by_every_look_up():
    label = "Gapes at the neck"
    row = replace(SHIPPED.fault("collar-stands-off"), label=label, source=ANN)

    book = SHIPPED.with_changes(added(row))

    seen = (
        book.fault(row.key).label,
        book.fault_label(row.key),
        book.faults_of("overcoat", "collar")[0].label,
    )
    assert seen == (label,) * 3
    assert book.fault(row.key).origin == catalogue.CHANGED


def test_house_fault_stands_last_in_its_zone_with_remedies():
    assert WITH_ROPE.faults_of("coat", "sleeve")[-1].key == ROPE.key
    assert WITH_ROPE.remedies_for(ROPE.key, "coat") == tuple(
        replace(offer, link=WITH_ROPE.causes_of(ROPE.key)[0])
        for offer in SHIPPED.remedies_for("sleeve-drags-in-front", "coat")
        if offer.cause.key == LINK.cause
    )


def test_stronger_link_of_the_house_comes_before_weaker_shipped():
    link = catalogue.Link(
        cause="neck-too-narrow", fault="collar-stands-off", strength="usually", source=ANN
    )

    book = SHIPPED.with_changes(added(link))

    order = [(row.cause, row.strength) for row in book.causes_of("collar-stands-off")]
    assert order[:4] == [
        ("back-balance-short", "almost-always"),
        ("shoulder-too-square", "usually"),
        ("neck-too-narrow", "usually"),
        ("collar-too-long", "often"),
    ]


def test_remedy_put_first_is_the_usual_one():
    row = one(SHIPPED.remedies, cause="waist-tight", kind="coat", seam="centre-back")

    book = SHIPPED.with_changes([Change(row, first=True)])

    before = SHIPPED.remedies_of("waist-tight", "coat")
    assert book.remedies_of("waist-tight", "coat") == (
        row,
        *(each for each in before if each != row),
    )


def test_later_change_of_a_row_holds():
    early, late = replace(ROPE, label="Rope"), replace(ROPE, label="Rope of cloth")

    assert SHIPPED.with_changes(added(early, LINK, late)).fault(ROPE.key).label == "Rope of cloth"


def test_retired_fault_is_not_offered_and_keeps_its_words():
    fault = SHIPPED.fault("collar-roll-narrow")

    book = SHIPPED.with_changes([Change(fault, retired=True)])

    assert [row for row in book.faults_of("coat", "collar") if row.key == fault.key] == []
    assert [row for row in book.links if row.fault == fault.key] == []
    assert book.fault_label(fault.key) == fault.label


def test_house_cause_goes_and_comes_with_its_last_fault():
    everything = added(ROPE, TWIST, TWIST_LINK, TWIST_REMEDY)

    gone = SHIPPED.with_changes([*everything, Change(ROPE, retired=True)])
    back = SHIPPED.with_changes([*everything, Change(ROPE, retired=True), Change(ROPE)])

    assert gone.causes == SHIPPED.causes
    assert gone.remedies == SHIPPED.remedies
    assert gone.cause_name(TWIST.key) == TWIST.name
    assert back == WITH_TWIST


def test_unknown_key_is_said_where_no_words_are():
    said = (SHIPPED.fault_label("x"), SHIPPED.cause_name("x"), SHIPPED.zone_name("coat", "x"))

    assert said == ("x", "x", "x")


@pytest.mark.parametrize("row", ROWS[::7], ids=changes.key_of)
def test_retiring_a_row_is_clean_or_refused(row):
    edit = Change(row, retired=True)

    wrong = check(SHIPPED.overlaid([edit]))
    with pytest.raises(ChangeRefusedError) if wrong else nullcontext() as refused:
        SHIPPED.with_changes([edit])

    assert list(refused.value.sentences if refused else ()) == wrong


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([ROPE], f"nothing explains fault {ROPE.key}"),
        ([LINK], f"link {LINK.cause} to {ROPE.key} names an unknown fault"),
        ([TWIST, TWIST_REMEDY], f"nothing points at cause {TWIST.key} in coat"),
        (
            [ROPE, LINK, replace(LINK, cause="house-rain")],
            f"link house-rain to {ROPE.key} names an unknown cause",
        ),
        (
            [ROPE, replace(LINK, strength="mostly")],
            f"link {LINK.cause} to {ROPE.key} has an unknown strength: mostly",
        ),
        ([replace(ROPE, source=" "), LINK], f"fault {ROPE.key} has no source"),
        ([replace(ROPE, source="XY 1"), LINK], f"fault {ROPE.key} cites an unknown source: XY 1"),
        (
            [replace(ROPE, source="house:"), LINK],
            f"fault {ROPE.key} cites an unknown source: house:",
        ),
        (
            [replace(ROPE, zone="fork"), LINK],
            f"fault {ROPE.key} is in an unknown zone: fork of coat",
        ),
        ([replace(ROPE, sign=""), LINK], f"fault {ROPE.key} has no sign"),
        ([replace(ROPE, look=" "), LINK], f"fault {ROPE.key} has no look"),
        (
            [replace(ROPE, label="collar stands away at the neck"), LINK],
            f"fault {ROPE.key} has a label longer than 28 letters",
        ),
    ],
)
def test_change_that_leaves_the_catalogue_wrong_is_refused(rows, said):
    with pytest.raises(ChangeRefusedError) as refused:
        SHIPPED.with_changes(added(*rows))

    assert refused.value.sentences[0] == said


def test_two_tiles_of_a_zone_may_not_share_a_label():
    label = SHIPPED.faults_of("coat", "sleeve")[0].label.upper()

    with pytest.raises(ChangeRefusedError) as refused:
        SHIPPED.with_changes(added(replace(ROPE, label=label), LINK))

    assert str(refused.value) == f"two faults of coat sleeve are called “{label.casefold()}”."


def test_two_causes_may_not_share_a_name():
    twin = replace(TWIST, name="back balance SHORT")

    with pytest.raises(ChangeRefusedError) as refused:
        SHIPPED.with_changes(added(ROPE, twin, TWIST_LINK, TWIST_REMEDY))

    assert str(refused.value) == "two causes are called “back balance short”."


def test_shipped_row_may_not_cite_the_house():
    row = replace(SHIPPED.faults[0], source=ANN)

    assert check(replace(SHIPPED, faults=(row, *SHIPPED.faults[1:]))) == [
        f"fault {row.key} cites an unknown source: {ANN}"
    ]


def test_remedy_may_name_a_fault_beside_a_retired_one():
    row = one(
        SHIPPED.remedies,
        cause="back-balance-long",
        faults=("collar-roll-narrow", "collar-hides-linen", "collar-ridge-wide"),
    )

    book = SHIPPED.with_changes([Change(SHIPPED.fault("collar-ridge-wide"), retired=True)])

    assert book.remedies_of("back-balance-long", "coat", "collar-roll-narrow")[0] == row


def test_remedy_for_nothing_but_a_retired_link_goes():
    link = one(SHIPPED.links, cause="back-balance-long", fault="waist-fold-behind")
    only = [row for row in SHIPPED.remedies if row.faults == ("waist-fold-behind",)]

    left = SHIPPED.overlaid([Change(link, retired=True)]).remedies

    assert set(SHIPPED.remedies) - set(left) == {
        row for row in only if row.cause == "back-balance-long"
    }


def test_amounts_of_a_changed_rule_are_offered():
    row = one(SHIPPED.remedies, cause="waist-tight", kind="coat", seam="side-seam")

    book = SHIPPED.with_changes(added(replace(row, most=parse("1/8"), least=parse("1/8"))))

    offer = one(book.remedies_of("waist-tight", "coat"), seam="side-seam")
    assert offer.amount_for(parse("1")) == parse("1/8")
