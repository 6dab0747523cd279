"""Targets worked by hand from the cited rules, and what holds whatever the body and the cut."""

import copy
import re
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from customers import points
from customers.lengths import Length, parse
from fittings import catalogue
from garments import cutting
from garments.cutting import Wish

INCH = Length.inches
# Side 44, leg 32 and seat 36 are Vincent's own sample (VS 12); the rest goes by his formulas at
# chest 36 (VS 39: scye 9, front shoulder 12 1/2), or is plain invented where he gives none.
BODY = {
    ("chest", ""): "36",
    ("waist", ""): "32",
    ("seat", ""): "36",
    ("half-back", "L"): "7 1/2",
    ("half-back", "R"): "7 1/2",
    ("shoulder-length", "L"): "5 3/4",
    ("shoulder-length", "R"): "6",
    ("sleeve-to-cuff", "L"): "32",
    ("sleeve-to-cuff", "R"): "32 1/4",
    ("nape-to-floor", ""): "60",
    ("nape-to-waist", ""): "17",
    ("front-shoulder", ""): "12 1/2",
    ("depth-of-scye", ""): "9",
    ("wrist", "L"): "7",
    ("wrist", "R"): "6 7/8",
    ("waistcoat-opening", ""): "12",
    ("trouser-waist", ""): "33",
    ("side-length", "L"): "44",
    ("side-length", "R"): "44",
    ("leg-length", "L"): "32",
    ("leg-length", "R"): "32",
    ("thigh", "L"): "22",
    ("thigh", "R"): "21 1/2",
    ("calf", ""): "14",
}
MEASURES = {place: parse(text) for place, text in BODY.items()}
CUTS = [(name, kind) for name, kinds in cutting.house_cuts().items() for kind in kinds]
DRAPE = cutting.house_cut("drape", "coat")


def lengths(kind, name="drape", measures=MEASURES, wishes=()):
    found = cutting.targets(measures, cutting.house_cut(name, kind), wishes)
    return {place: target.length.text("in") for place, target in found.items()}


def changed(cut, key, **figures):
    """The cut's data with some figures of one point, or of one rule, written otherwise."""
    data = copy.deepcopy(cutting.data_of(cut))
    table = "points" if key in data["points"] else "rules"
    data[table][key] |= figures
    return data


def found_in(kind, data):
    with pytest.raises(cutting.CutError) as refusal:
        cutting.read_cut(kind, data)
    return refusal.value.found


def test_drape_coat_worked_by_hand():
    # Sleeve: measure to the cuff less half back (VS 60), less 1/2 shoulder ease, less 1/2 linen
    # (FL), plus 1/2. Length: half of 60 (FL) and 1/2. Chest: 36 + 3/4 + 1 drape + 5 1/2.
    # But the seat: fork at 17 + 44 - 32 = 29 from the nape, so 30 1/2 covers it (JF).
    assert lengths("coat") == {
        ("chest", ""): "43 1/4 in",
        ("waist", ""): "37 in",
        ("seat", ""): "40 in",
        ("back-width", ""): "17 in",
        ("shoulder", "L"): "6 1/4 in",
        ("shoulder", "R"): "6 1/2 in",
        ("sleeve", "L"): "24 in",
        ("sleeve", "R"): "24 1/4 in",
        ("back-length", ""): "30 1/2 in",
        ("front-balance", ""): "13 in",
        ("button-height", ""): "17 in",
        ("cuff", ""): "11 1/2 in",
        ("scye-depth", ""): "9 1/4 in",
    }


def test_drape_trousers_worked_by_hand():
    # Rise: 44 less 32 (VS 60), and 3/4. Knee: thigh 22 + 4, less 6; bottom 1 1/2 less again.
    assert lengths("trousers") == {
        ("waist", ""): "33 1/2 in",
        ("seat", ""): "40 in",
        ("rise", ""): "12 3/4 in",
        ("thigh", ""): "26 in",
        ("knee", ""): "20 in",
        ("bottom", ""): "18 1/2 in",
        ("inside-leg", "L"): "32 in",
        ("inside-leg", "R"): "32 in",
        ("side-length", "L"): "44 1/2 in",
        ("side-length", "R"): "44 1/2 in",
    }


def test_drape_waistcoat_worked_by_hand():
    assert lengths("waistcoat") == {
        ("chest", ""): "39 in",
        ("waist", ""): "34 1/2 in",
        ("back-length", ""): "20 in",
        ("opening", ""): "12 in",
    }


def test_drape_overcoat_is_longer_and_wider_than_the_coat():
    coat, overcoat = (
        cutting.targets(MEASURES, cutting.house_cut("drape", kind)) for kind in ("coat", "overcoat")
    )

    assert all(overcoat[place].length > coat[place].length for place in coat)


def test_coat_is_never_shorter_than_the_seat():
    # fork 17 + 12 1/2 = 29 1/2 below the nape; the close cut would end at 30 - 1/2
    low = MEASURES | {("side-length", side): INCH("44.75") for side in ("L", "R")}

    target = cutting.targets(low, cutting.house_cut("close", "coat"))["back-length", ""]

    assert target.length == INCH("29.75")
    assert target.why() == ("Half of nape to floor 30 in - ease 1/2 in + to cover the seat 1/4 in")


def test_knee_agreed_with_the_customer_goes_before_house_taste():
    agreed = MEASURES | {("knee", ""): INCH(18), ("bottom", ""): INCH(17)}

    found = lengths("trousers", measures=agreed)

    assert (found["knee", ""], found["bottom", ""]) == ("18 in", "17 in")


def test_knee_is_never_closer_than_the_calf_allows():
    slim = MEASURES | {("knee", ""): INCH(15)}

    target = cutting.targets(slim, cutting.house_cut("drape", "trousers"))["knee", ""]

    assert (target.length, target.parts[-1]) == (INCH(16), ("to clear the calf", INCH(1)))


def test_why_tells_the_sum_in_either_unit():
    target = cutting.targets(MEASURES, DRAPE, [Wish("chest", INCH("-0.5"))])["chest", ""]

    assert target.why("in") == (
        "Chest 36 in + drape in front 3/4 in + drape behind 1 in + ease 5 1/2 in"
        " - wish (closer chest) 1/2 in"
    )
    assert target.why("cm").startswith("Chest 91.4 cm + drape in front 1.9 cm")


@pytest.mark.parametrize(("name", "kind"), CUTS)
def test_every_target_is_the_sum_of_its_parts(name, kind):
    for target in cutting.targets(MEASURES, cutting.house_cut(name, kind)).values():
        assert sum((part for _, part in target.parts), Length(0)) == target.length


@pytest.mark.parametrize(("name", "kind"), CUTS)
def test_house_cut_aims_at_every_point_of_its_kind(name, kind):
    places = {(point.key, side) for point in cutting.POINTS[kind] for side in point.sides}

    assert set(cutting.targets(MEASURES, cutting.house_cut(name, kind))) == places


@pytest.mark.parametrize(("name", "kind"), CUTS)
def test_house_cut_survives_being_written_and_read(name, kind):
    cut = cutting.house_cut(name, kind)

    assert cutting.read_cut(kind, cutting.data_of(cut)) == cut


@pytest.mark.parametrize(("name", "kind"), CUTS)
def test_house_cut_cites_only_known_sources(name, kind):
    cut = cutting.house_cut(name, kind)
    sources = [row.source for row in (*cut.points.values(), *cut.rules.values())]
    cited = [set(re.findall(r"\b[A-Z]{1,3}[0-9]?\b", source)) for source in sources]

    assert set().union(*cited) <= set(catalogue.load().sources)
    assert all(
        keys or source == points.NO_SOURCE for keys, source in zip(cited, sources, strict=True)
    )


@pytest.mark.parametrize("kind", cutting.POINTS)
def test_finished_points_lie_in_zones_of_the_catalogue(kind):
    zones = {zone.key for zone in catalogue.zones(kind)}

    assert {point.zone for point in cutting.POINTS[kind]} <= zones


# What the customer wishes


def test_wish_within_the_limits_moves_both_sides():
    plain, wished = lengths("coat"), lengths("coat", wishes=[Wish("sleeve", INCH("-0.25"))])

    assert (plain["sleeve", "L"], wished["sleeve", "L"]) == ("24 in", "23 3/4 in")
    assert (plain["sleeve", "R"], wished["sleeve", "R"]) == ("24 1/4 in", "24 in")


def test_wish_past_the_limits_waits_for_a_name():
    target = cutting.targets(MEASURES, DRAPE, [Wish("sleeve", INCH(-1))])["sleeve", "L"]

    assert (target.length, target.against, target.waits) == (INCH(24), True, True)


def test_wish_against_the_house_is_granted_by_name():
    wish = Wish("sleeve", INCH(-1), accepted="Merrin Quorrow")

    target = cutting.targets(MEASURES, DRAPE, [wish])["sleeve", "L"]

    assert (target.length, target.against, target.waits) == (INCH(23), True, False)


def test_wish_for_a_coat_above_the_seat_is_against():
    # within the cut's limits, but the seat would show: the fork lies 29 3/4 below the nape
    low = MEASURES | {("side-length", side): INCH("44.75") for side in ("L", "R")}

    aimed = cutting.aim(low, DRAPE, [Wish("back-length", INCH(-1))])

    assert [target.point.key for target in aimed.against] == ["back-length"]
    assert aimed.targets["back-length", ""].length == INCH("30.5")


def test_wish_for_wider_shoulders_shortens_the_sleeve():
    wished = lengths("coat", wishes=[Wish("shoulder", INCH("0.25"))])

    assert (wished["shoulder", "L"], wished["sleeve", "L"]) == ("6 1/2 in", "23 3/4 in")


# What the measures lack


def said(measures, cut=DRAPE):
    return [finding.text("in") for finding in cutting.aim(measures, cut).findings]


def test_nothing_is_found_in_a_whole_set():
    assert said(MEASURES) == []


def test_no_measures_give_no_targets_and_say_so():
    aimed = cutting.aim({}, DRAPE)

    assert aimed.targets == {}
    assert aimed.findings[0].text() == "Chest is not taken: no target for chest."


def test_one_side_missing_gives_no_half_measured_back():
    one_sided = {place: value for place, value in MEASURES.items() if place != ("half-back", "R")}

    found = cutting.targets(one_sided, DRAPE)

    assert ("back-width", "") not in found
    assert {place for place in found if place[0] == "sleeve"} == {("sleeve", "L")}
    assert said(one_sided) == [
        "Half back, right is not taken: no target for back width, sleeve, right."
    ]


@pytest.mark.parametrize("chest", ["0", "4", "100"])
def test_absurd_measure_makes_no_target(chest):
    absurd = MEASURES | {("chest", ""): parse(chest)}

    assert ("chest", "") not in cutting.targets(absurd, DRAPE)
    assert said(absurd) == [
        f"Chest of {chest} in cannot be right: nothing is aimed at by it. Measure again."
    ]


def test_unlikely_measure_is_used_and_asked_about():
    odd = MEASURES | {("chest", ""): INCH(61)}

    assert cutting.targets(odd, DRAPE)["chest", ""].length == INCH("68.25")
    assert said(odd) == ["Chest of 61 in is unlikely: look at it again."]


def test_leg_longer_than_the_side_gives_no_rise():
    turned = (
        MEASURES
        | {("leg-length", side): INCH(42) for side in ("L", "R")}
        | {("side-length", side): INCH(41) for side in ("L", "R")}
    )
    cut = cutting.house_cut("drape", "trousers")

    assert ("rise", "") not in cutting.targets(turned, cut)
    assert said(turned, cut)[0] == "Leg length, left of 42 in is not shorter than the side length."


def test_cut_without_figures_says_so():
    empty = cutting.read_cut("coat", {})

    assert said(MEASURES, empty) == ["This version of the cut has no figures yet."]


# What contradicts itself in a cut


@pytest.mark.parametrize(
    ("key", "figures", "field", "sentence"),
    [
        ("chest", {"least": "6 in"}, "least", "The least ease at the chest is more than its ease"),
        ("chest", {"most": "5 in"}, "most", "The most ease at the chest is less than its ease"),
        ("chest", {"tolerance": "0 in"}, "tolerance", "Give or take from 1/16 in to 2 in."),
        ("chest", {"tolerance": "3 in"}, "tolerance", "Give or take from 1/16 in to 2 in."),
        ("cuff", {"ease": "40 in", "most": "50 in"}, "ease", "An ease from -6 in to 30 in"),
        ("waist", {"least": "3 in"}, "least", "less than “sits down buttoned” asks: 3 1/2 in."),
        ("linen", {"value": "5 in"}, "value", "Linen shown: from -2 in to 2 in."),
        ("chest", {"ease": ""}, "ease", "Write the measure, for example 38 1/2 or 97.8 cm."),
        ("linen", {"value": "much"}, "value", "much cannot be read: write it like 38 1/2"),
        ("chest", {"source": " "}, "source", "Say where the figure is from"),
    ],
)
def test_contradiction_in_a_cut_is_refused(key, figures, field, sentence):
    found = found_in("coat", changed(DRAPE, key, **figures))

    assert list(found) == [f"{key}-{field}"]
    assert sentence in found[f"{key}-{field}"][0]


def test_all_contradictions_are_told_at_once():
    data = changed(DRAPE, "chest", least="6 in", tolerance="0 in")
    data["points"]["tail"] = {}
    del data["rules"]["linen"]

    assert set(found_in("coat", data)) == {"chest-least", "chest-tolerance", "tail", "linen-value"}


@pytest.mark.parametrize("data", [[], {"points": 3}, {"rules": "much"}, {"points": {"chest": 1}}])
def test_data_of_no_shape_is_refused(data):
    assert found_in("coat", data)


# What holds whatever the body


bodies = st.fixed_dictionaries(
    {
        place: st.integers(
            int(Fraction(points.BY_KEY[place[0]].low.nm, 3_175_000)) + 1,
            points.BY_KEY[place[0]].high.nm // 3_175_000,
        ).map(lambda eighths: Length(eighths * 3_175_000))
        for place in [*MEASURES, ("sitting-rise", "")]
    }
)
eighths = st.integers(1, 16).map(lambda count: Length(3_175_000 * count))
cuts = st.sampled_from(CUTS).map(lambda row: cutting.house_cut(*row))


def wider(cut, key, more):
    """The cut with so much more ease at one point, and room for it."""
    text = cutting.data_of(cut)
    row = text["points"][key]
    for figure in ("ease", "most"):
        row[figure] = str(parse(row[figure], signed=True) + more) + " in"
    return cutting.read_cut(cut.kind, text)


@given(body=bodies, cut=cuts, more=eighths, data=st.data())
def test_more_ease_never_makes_a_smaller_target(body, cut, more, data):
    key = data.draw(st.sampled_from(sorted(cut.points)))
    before = cutting.targets(body, cut)
    after = cutting.targets(body, wider(cut, key, more))

    smaller = {place[0] for place in before if after[place].length < before[place].length}
    # A wider shoulder takes over part of the way to the cuff: that sleeve alone gets shorter.
    assert smaller == ({"sleeve"} if key == "shoulder" else set())
    own = [place for place in before if place[0] == key]
    assert all(after[place].length >= before[place].length for place in own)


@given(body=bodies, cut=cuts)
def test_changing_units_changes_nothing(body, cut):
    metric = {place: parse(f"{value.mm} mm") for place, value in body.items()}
    data = cutting.data_of(cut)
    for row in (*data["points"].values(), *data["rules"].values()):
        for figure in row.keys() - {"source"}:
            row[figure] = f"{parse(row[figure], signed=True).mm} mm"

    assert cutting.aim(metric, cutting.read_cut(cut.kind, data)) == cutting.aim(body, cut)


# What is taken off the measure to the cuff, or off the rise, makes its target smaller.
LESS = {("half-back", "sleeve"), ("leg-length", "rise"), ("leg-length", "back-length")}


@given(body=bodies, cut=cuts, more=eighths, data=st.data())
def test_larger_body_never_makes_a_smaller_target(body, cut, more, data):
    place = data.draw(st.sampled_from(sorted(body)))
    larger = body | {place: body[place] + more}
    # No leg is as long inside as outside: the rise is then told by another measure.
    for side in ("L", "R"):
        assume(
            min(body["side-length", side], larger["side-length", side])
            > max(body["leg-length", side], larger["leg-length", side])
        )
    before, after = cutting.targets(body, cut), cutting.targets(larger, cut)

    smaller = {
        at[0]
        for at in before.keys() & after.keys()
        if after[at].length < before[at].length and (place[0], at[0]) not in LESS
    }
    assert smaller == set()


@given(body=bodies, cut=cuts, by=st.integers(-16, 16), data=st.data())
def test_wish_moves_its_target_by_itself_or_not(body, cut, by, data):
    key = data.draw(st.sampled_from(sorted(cut.points)))
    wish = Wish(key, Length(by * 3_175_000))
    before, after = cutting.targets(body, cut), cutting.targets(body, cut, [wish])

    moved = {(after[at].length - before[at].length) for at in before if at[0] == key}
    assert moved <= {Length(0), wish.by}
    assert all(after[at].waits == (not moved - {Length(0)}) for at in before if at[0] == key and by)


@pytest.mark.parametrize(
    ("found", "out"),
    [("24 1/4", "0"), ("23 3/4", "0"), ("24 3/8", "3/8"), ("23 1/2", "-1/2"), ("24", "0")],
)
def test_garment_is_inside_or_out_by_so_much(found, out):
    target = cutting.targets(MEASURES, DRAPE)["sleeve", "L"]  # 24 in, 1/4 in either way

    assert cutting.compare(target, parse(found)) == parse(out, signed=True)
