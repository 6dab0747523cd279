"""Why: what is seen, what travels together, what cures, where the weeks go, what it costs."""

import csv
import io
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from scipy.stats import fisher_exact

from customers.lengths import Length
from customers.models import House
from fittings.catalogue import Change, load
from fittings.housebook.queries import HouseBook, one_book
from fittings.models import CauseTaken
from fittings.promise import STAGES
from fittings.review import why_facts
from fittings.review.asking import By
from fittings.review.costs import garment_minutes, remake_cost, return_cost, saved_by_a_point
from fittings.review.heat import heat
from fittings.review.sums import forget
from fittings.review.why import explain
from garments import seams
from tests.factories import (
    AlterationFactory,
    GarmentFactory,
    RemakeFactory,
)
from tests.review.scenes import (
    DAYS,
    HALF,
    NOW,
    altered,
    delivered,
    judged,
    looked_at,
    noon,
    reach,
    tried_on,
)
from tests.review.test_closer import printed, rows_of


def lived():
    for number in range(12):
        both = [("collar", "collar-stands-off"), ("back", "back-balance-short")]
        tried_on(*(both if number < 6 else [("waist", "waist-tight")]))
    for _ in range(5):
        altered("cured")
        delivered("2026-02-10", back="2026-03-01", fittings=["2026-01-10"])


# -- costs: pure -----------------------------------------------------------------------------------


def test_minutes_of_a_garment_are_those_of_its_stages():
    assert garment_minutes("coat") == sum(stage.minutes for stage in STAGES["coat"]) > 3000


def test_remakes_cost_their_minutes_and_cloth():
    coat = garment_minutes("coat")

    cost = remake_cost(
        [("coat", False, 2, Length.of_cm(600)), ("coat", True, 1, Length.of_cm(300))],
        Decimal("0.50"),
        Decimal(80),
    )

    assert (cost.times, cost.minutes, cost.metres) == (3, round(coat * 7 / 3), 7.0)
    assert cost.money == round(coat * 7 / 3) * Decimal("0.50") + 7 * 80


def test_returns_cost_the_minutes_of_their_alterations():
    amount = Length.inches("3/8")

    cost = return_cost([("let-out", amount, "both", 3)], Decimal(1))

    assert cost.minutes == 3 * seams.operation("let-out").minutes(amount, "both")
    assert (cost.times, cost.money) == (3, Decimal(cost.minutes))


def test_cost_without_a_rate_is_no_money():
    cost = remake_cost([("coat", False, 1, Length(0))], None, Decimal(80))

    assert cost.money is None
    assert saved_by_a_point(cost, 100) is None


def test_a_point_of_no_garments_saves_nothing_to_tell():
    cost = remake_cost([("coat", False, 1, Length(0))], Decimal(1), Decimal(80))

    assert (saved_by_a_point(cost, 0), saved_by_a_point(cost, 100)) == (None, cost.money)


def test_nothing_cut_again_saves_nothing_known():
    assert saved_by_a_point(remake_cost([], Decimal(1), Decimal(80)), 100) is None


def test_one_point_less_saves_a_hundredth_of_the_garments():
    cost = remake_cost([("coat", False, 2, Length(0))], Decimal(1), None)

    assert saved_by_a_point(cost, 150) == (Decimal(garment_minutes("coat")) * 150 / 100)


def test_zones_are_shaded_by_their_number_and_numbered_once():
    views = heat("coat", {"collar": 10, "back": 5})

    spots = [spot for view in views for spot in view.spots]
    assert {(spot.zone.key, spot.shade) for spot in spots} == {("collar", 0.6), ("back", 0.3)}
    assert sorted(spot.zone.key for spot in spots if spot.numbered) == ["back", "collar"]


# -- the record ------------------------------------------------------------------------------------


@pytest.mark.django_db
def test_faults_stand_the_commonest_first_with_their_sum():
    lived()

    lines = explain(HALF, NOW).sheets["faults"].lines

    assert [line[1] for line in lines] == [6, 6, 6]
    assert [str(line[3]) for line in lines] == ["33.3 %", "66.7 %", "100.0 %"]


@pytest.mark.django_db
def test_faults_that_travel_together_are_told_from_luck():
    lived()

    (line,) = explain(HALF, NOW).sheets["together"].lines

    looks = why_facts.garments_looked_at(HALF)
    assert fisher_exact([[6, 0], [0, looks - 6]]).pvalue < 0.05
    assert (line[2], str(line[3]), line[4]) == (6, f"{36 / looks:.1f}", "travel together")


@pytest.mark.django_db
@pytest.mark.parametrize(("others", "says"), [(0, "travel together"), (7, "within luck")])
def test_pair_is_held_against_all_pairs_that_could_have_met(others, says):
    """Of nine faults 36 pairs could meet: one as odd as this is among them more often than not."""
    one, two = ("collar", "collar-stands-off"), ("back", "back-balance-short")
    for faults, times in (([one, two], 4), ([one], 3), ([two], 3), ([], 30)):
        for _ in range(times):
            tried_on(*faults)
    for number in range(others):
        for _ in range(3):
            tried_on(("waist", f"other-{number}"))

    (line,) = explain(HALF, NOW).sheets["together"].lines

    alone = fisher_exact([[4, 3], [3, 30 + 3 * others]]).pvalue
    assert alone < 0.05 < 36 * alone or others == 0
    assert (line[2], line[4]) == (4, says)


@pytest.mark.django_db
def test_alterations_are_counted_by_operation():
    for verdict in ("cured", "cured", "same"):
        altered(verdict)

    (line,) = explain(HALF, NOW).sheets["cures"].lines

    assert line[:3] == ["Let out", 2, 3]


def stood_ten_days_and_thirty():
    """A garment ordered for ten days and cut for thirty, then delivered."""
    coat = GarmentFactory()
    for stage, day in (
        ("ordered", "2026-01-01"),
        ("cut", "2026-01-11"),
        ("delivered", "2026-02-10"),
    ):
        reach(coat, stage, day)


@pytest.mark.django_db
def test_weeks_are_the_days_from_stage_to_stage():
    stood_ten_days_and_thirty()

    lines = explain(HALF, NOW).sheets["weeks"].lines

    assert [[str(cell) for cell in line] for line in lines] == [
        ["Ordered", "1", "10.0", "10.0", "25.0 %"],
        ["Cut", "1", "30.0", "30.0", "75.0 %"],
    ]


@pytest.mark.django_db
def test_costs_follow_the_minute_the_owner_entered():
    House.objects.update_or_create(pk=House.get().pk, defaults={"minute_cost": Decimal("2.00")})
    RemakeFactory(
        replaces=delivered("2026-02-10", cloth_length=Length.of_cm(300)), at=noon("2026-03-01")
    )

    why = explain(HALF, NOW)

    assert why.sheets["costs"].lines[0][4].number == garment_minutes("coat") * 2
    assert "One point less of 1 garments delivered would have saved" in why.said["costs"]


@pytest.mark.django_db
def test_alterations_before_the_return_cost_no_return():
    coat = delivered("2026-02-10", back="2026-03-01")
    AlterationFactory(garment=coat, at=noon("2026-01-20"))
    AlterationFactory(garment=coat, at=noon("2026-03-02"))

    assert [row[0] for row in why_facts.altered_after_return(HALF)] == ["let-out"]
    assert [row[3] for row in why_facts.altered_after_return(HALF)] == [1]


# -- the page --------------------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.parametrize(
    "sheet", ["faults", "causes", "zones", "together", "cures", "looks", "weeks", "costs"]
)
def test_file_holds_every_number_of_the_page(owner, sheet):
    lived()
    coat, look = tried_on(("collar", "collar-stands-off"))
    CauseTaken.objects.create(fitting=look, garment=coat, by=look.fitter, cause="erect")
    RemakeFactory(replaces=coat, garment=None, piece="collar", at=noon("2026-03-01"))
    for stage, day in (("ordered", "2026-01-01"), ("delivered", "2026-02-10")):
        reach(coat, stage, day)

    shown = rows_of(owner.get("/review/why/", DAYS), sheet)
    file = owner.get(f"/review/why/{sheet}.csv", DAYS).content.decode("utf-8-sig")

    rows = list(csv.reader(io.StringIO(file, newline="")))[1:]
    assert len(rows) == len(shown) > 0
    for line, told in zip(rows, shown, strict=True):
        assert [printed(cell, text) for cell, text in zip(line, told, strict=True)] == told


@pytest.mark.django_db
def test_drawing_carries_numbers_and_no_style(owner):
    lived()

    page = owner.get("/review/why/", DAYS).content.decode()

    drawn = re.search(r'<svg[^>]*aria-labelledby="heat-back.*?</svg>', page, re.DOTALL)[0]
    assert re.findall(r'fill="#000000">(\d+)</text>', drawn) != []
    assert re.findall(r"\s(?:style|on\w+)=", drawn) == []


@pytest.mark.django_db
def test_empty_house_has_nothing_to_tell(owner):
    page = owner.get("/review/why/")

    assert page.context["why"].empty
    assert page.content.decode().count("Nothing to tell") == 1


@pytest.mark.django_db
@pytest.mark.parametrize(("field", "value"), [("until", "2024-01-01"), ("cutter", "nobody")])
def test_nonsense_in_address_is_answered_beside_field(owner, field, value):
    page = owner.get("/review/why/", {**DAYS, field: value})

    assert list(page.context["form"].errors) == [field]
    assert owner.get("/review/why/faults.csv", {**DAYS, field: value}).status_code == 302


@pytest.mark.django_db
def test_file_of_no_such_table_is_not_found(owner):
    assert owner.get("/review/why/wages.csv").status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize("times", [1, 3])
def test_queries_stay_the_same_whatever_the_data(owner, django_assert_num_queries, times):
    for _ in range(times):
        lived()
    owner.get("/review/why/")
    forget()

    with django_assert_num_queries(20):
        owner.get("/review/why/", DAYS)


@pytest.mark.django_db
def test_fault_said_otherwise_is_shown_though_its_numbers_stay():
    tried_on(("collar", "collar-stands-off"))
    old = load().fault("collar-stands-off")
    said = load().with_changes([Change(replace(old, label="Stands away"))])
    explain(HALF, NOW)

    with one_book(HouseBook(said, state="another")):
        ((name, *_),) = explain(HALF, NOW).sheets["faults"].lines

    assert name == "Coat, collar: Stands away"


# -- the way on and back ---------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.parametrize("by", ["maker", "fault", "moon"])
def test_rows_of_the_review_are_kept_for_the_way_back(owner, by):
    lived()

    page = owner.get("/review/why/", {**DAYS, "by": by})
    kept = re.search(r'<input type="hidden" name="by" value="(.*?)"', page.content.decode())[1]
    links = [link for sheet in page.context["why"].sheets.values() for link in sheet.links]

    assert kept == by
    assert "Rows by" not in page.content.decode()
    assert links
    assert all(f"by={by if by in By.values else 'cutter'}" in link for link in links)


@pytest.mark.django_db
def test_costs_are_the_same_whatever_the_rows():
    for _ in range(2):
        garment = delivered("2026-02-10", back="2026-03-01")
        looked_at(garment, "2026-01-10", faults=3)
        AlterationFactory(garment=garment, at=noon("2026-03-02"))

    lines = [explain(replace(HALF, by=by), NOW).sheets["costs"].lines for by in By]

    assert {str(found[1]) for found in lines} == {str(lines[0][1])}
    assert lines[0][1][:2] == ["Alterations after a return", 2]


@pytest.mark.django_db
def test_bars_of_days_say_so_and_stand_in_the_table():
    stood_ten_days_and_thirty()

    why = explain(HALF, NOW)

    days = {line[0]: f"{line[3].value:.0f} days" for line in why.sheets["weeks"].lines}
    assert {beam.name: beam.counted for beam in why.bars["weeks"].beams} == days
    assert why.bars["weeks"].says == "Longest: Cut 30 days; Ordered 10 days."


@pytest.mark.django_db
def test_what_could_be_seen_is_said_in_english():
    lived()
    judged(AlterationFactory(operation="take-in"), "same", "2026-03-02")

    said = explain(HALF, NOW).said["cures"]

    assert "such an alteration would be named" in said
