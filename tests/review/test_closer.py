"""A rate looked at closer: page and file agree, what is behind a point, nonsense asked."""

import csv
import datetime
import io
import re

import pytest
from django.http import QueryDict
from django.utils.html import strip_tags

from fittings.review.asking import Asked, By
from fittings.review.closer import before, look_closer
from fittings.review.measures import CURES, LATE, RATES, REMAKES, RETURNS
from fittings.review.sums import forget
from garments.models import Garment
from tests.factories import RemakeFactory, UserFactory
from tests.review.scenes import NOW, altered, cut_again, delivered, looked_at, noon, reach

pytestmark = pytest.mark.django_db

DAYS = {"since": "2025-01-01", "until": "2025-06-30"}
HALF = Asked(datetime.date(2025, 1, 1), datetime.date(2025, 6, 30))


def lived(times=1):
    """Two cutters; of the first every second garment comes back, of the other none."""
    many, none = (UserFactory(first_name=name, last_name="Hale") for name in ("Ada", "Ben"))
    for _ in range(times):
        delivered("2025-02-10", back="2025-03-01", fittings=["2025-01-10"], cutter=many)
        delivered("2025-04-10", cutter=many)
        for month in ("02", "04"):
            looked_at(delivered(f"2025-{month}-11", cutter=none), "2025-01-20", faults=1)
        altered("cured", "2025-03-02", cutter=none)
    return many, none


def rows_of(response, key):
    """The lines of a table as the page prints them."""
    body = re.search(
        rf'id="{key}-sheet">.*?<tbody>(.*?)</tbody>', response.content.decode(), re.DOTALL
    )[1]
    return [
        [strip_tags(cell).strip() for cell in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL)]
        for row in re.findall(r"<tr>(.*?)</tr>", body, re.DOTALL)
    ]


def printed(cell, shown):
    """A cell of the file as the page prints it."""
    if cell == "":
        return "–"
    return f"{float(cell) * 100:.1f} %" if shown.endswith(" %") else cell


# -- what it says ----------------------------------------------------------------------------------


def test_cutter_beyond_luck_is_named_with_both_counts():
    lived(times=8)

    closer = look_closer(RETURNS, HALF, NOW)

    assert closer.said[0] == (
        "Ada Hale: 8 of 16, the others 0 of 16: higher than luck makes, even among 2."
    )


def test_nobody_is_named_on_two_coats():
    lived()

    closer = look_closer(RETURNS, HALF, NOW)

    assert closer.said[0] == "No cutter stands out: the differences are within what luck makes."
    assert closer.groups.lines[0][6] == "too few to tell"


def test_page_says_beforehand_what_it_could_see(owner):
    lived(times=8)

    page = owner.get("/review/returns/", DAYS).content.decode()

    assert page.index("What can be seen with so many") < page.index("What they say")
    assert "named, at 2 times the rate of all in " in re.sub(r"\s+", " ", page)


def test_rate_above_a_half_is_doubled_in_its_misses():
    for name in ("Ada", "Ben"):
        cutter = UserFactory(first_name=name)
        for verdict in ["cured"] * 8 + ["same"] * 4:
            altered(verdict, "2025-03-02", cutter=cutter)

    said = look_closer(CURES, HALF, NOW).could_see

    assert " at 2 times the misses of all in " in said[0]
    assert said[1].startswith("To name one at twice the misses 4 times in 5 takes about ")
    assert said[1].endswith(" alterations each.")
    assert "12 alterations in the middle one" in said[0]


def test_these_days_are_held_against_as_many_before():
    assert before(HALF).since == datetime.date(2024, 7, 4)
    assert before(HALF).until == datetime.date(2024, 12, 31)
    for day in ("2024-08-01", "2025-03-01"):
        for number in range(6):
            delivered(day, back=day if number < 3 else None)

    assert look_closer(RETURNS, HALF, NOW).before.startswith("3 of 6, before 3 of 6: +0 points")


def test_any_other_days_can_be_held_against_these(owner):
    for day, hits in (("2024-03-01", 6), ("2025-03-01", 0)):
        for number in range(6):
            delivered(day, back=day if number < hits else None)

    than = {"than_since": "2024-03-01", "than_until": "2024-03-31"}
    closer = owner.get("/review/returns/", {**DAYS, **than}).context["closer"]

    assert closer.before.startswith("0 of 6, before 6 of 6: -100 points")
    assert closer.before.endswith("That is less, beyond what chance alone makes.")


@pytest.mark.parametrize(("since", "until"), [("2024-07-01", "2024-12-31"), ("2025-07-01",) * 2])
def test_days_that_only_touch_are_others(owner, since, until):
    page = owner.get("/review/returns/", {**DAYS, "than_since": since, "than_until": until})

    assert page.context["form"].is_valid()


@pytest.mark.parametrize(
    ("than", "field"),
    [
        ({"than_since": "2024-03-01"}, "than_until"),
        ({"than_until": "2024-03-01"}, "than_since"),
        ({"than_since": "2024-03-02", "than_until": "2024-03-01"}, "than_until"),
        ({"than_since": "soon", "than_until": "2024-03-01"}, "than_since"),
        ({"than_since": "2024-03-01", "than_until": "2025-01-01"}, "than_until"),
        ({"than_since": "2025-06-30", "than_until": "2025-07-01"}, "than_until"),
        ({"than_since": "2025-02-01", "than_until": "2025-03-01"}, "than_until"),
    ],
)
def test_days_to_hold_against_are_both_or_neither_and_others(owner, than, field):
    page = owner.get("/review/returns/", {**DAYS, **than})

    assert list(page.context["form"].errors) == [field]


def test_two_rows_are_held_against_each_other(owner):
    many, none = lived(times=8)

    pair = {"one": many.pk, "other": none.pk}
    closer = owner.get("/review/returns/", {**DAYS, **pair}).context["closer"]

    assert closer.pair.startswith("Ada Hale 8 of 16, Ben Hale 0 of 16: +50 points (likely ")


@pytest.mark.parametrize("other", ["", "9999", "nobody"])
def test_unknown_row_is_held_against_nothing(owner, other):
    many, _ = lived(times=5)

    closer = owner.get("/review/returns/", {**DAYS, "one": many.pk, "other": other}).context[
        "closer"
    ]

    assert closer.pair == ""


def test_row_held_against_itself_is_told(owner):
    many, _ = lived(times=5)

    pair = {"one": many.pk, "other": many.pk}
    page = owner.get("/review/returns/", {**DAYS, **pair}).content.decode()

    assert '<p id="pair">Choose two different rows' in page


def test_rows_to_choose_from_stand_by_name_and_two_are_offered(owner):
    lived(times=5)

    page = owner.get("/review/returns/", DAYS)
    other = re.search(r'<select id="other".*?</select>', page.content.decode(), re.DOTALL)[0]

    assert [name for _, name in page.context["closer"].keys] == ["Ada Hale", "Ben Hale"]
    assert re.search(r"selected>(.*?)<", other)[1] == "Ben Hale"


def test_late_counts_the_days_after_the_promise():
    promised = {"promised_on": datetime.date(2025, 3, 1)}
    delivered("2025-03-01", **promised)
    delivered("2025-03-02", **promised)
    delivered("2025-03-02", promised_on=None)

    assert look_closer(LATE, HALF, NOW).figure == "too few to tell: 1 of 2"


def test_late_stays_late_whatever_is_promised_when_it_came_back():
    for number in range(5):
        coat = delivered("2025-03-02", promised_on=datetime.date(2025, 3, 1 + number % 2))
        reach(coat, "returned", "2025-04-01")
        Garment.objects.filter(pk=coat.pk).update(promised_on=datetime.date(2025, 5, 1))

    assert look_closer(LATE, HALF, NOW).figure.startswith("3 of 5 (60 %,")


def test_every_month_stands_on_the_page_even_without_a_delivery():
    lived()

    sheet = look_closer(RETURNS, HALF, NOW).months

    assert [line[0] for line in sheet.lines] == [f"2025-0{month}" for month in range(1, 7)]
    assert sheet.lines[2][-1] == "nothing to count"


def test_months_of_a_part_begin_with_its_first():
    asked = Asked(datetime.date(2025, 11, 20), datetime.date(2026, 1, 5))

    assert asked.months == [
        datetime.date(2025, 11, 1),
        datetime.date(2025, 12, 1),
        datetime.date(2026, 1, 1),
    ]


# -- page and file ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("measure", "sheet"),
    [("returns", "groups"), ("returns", "months"), ("returns", "curve"), ("first-fault", "months")],
)
def test_file_holds_every_number_of_the_page(owner, measure, sheet):
    lived(times=5)

    shown = rows_of(owner.get(f"/review/{measure}/", DAYS), sheet)
    file = owner.get(f"/review/{measure}/{sheet}.csv", DAYS).content.decode("utf-8-sig")

    rows = list(csv.reader(io.StringIO(file, newline="")))[1:]
    assert len(rows) == len(shown) > 0
    for line, told in zip(rows, shown, strict=True):
        plain = [cell.removeprefix("'") for cell in line]
        assert [printed(cell, text) for cell, text in zip(plain, told, strict=True)] == told


def test_pictures_are_described_and_carry_no_style(owner):
    lived(times=8)

    page = owner.get("/review/returns/", DAYS).content.decode()

    drawings = re.findall(r"<svg xmlns.*?</svg>", page, re.DOTALL)
    assert len(drawings) == 3
    assert all("<title" in drawing and "<desc" in drawing for drawing in drawings)
    assert re.findall(r"\s(?:style|class|on\w+)=", "".join(drawings)) == []


# -- behind a point --------------------------------------------------------------------------------


def test_mark_of_the_picture_leads_to_its_garments(owner):
    lived(times=5)

    page = owner.get("/review/returns/", DAYS).content.decode()
    link = re.search(r'<a href="([^"]*group=[^"]*)" aria-label="Ada', page)[1].replace("&amp;", "&")
    behind = owner.get(link).context["behind"]

    assert (behind.group, behind.all, behind.hits) == ("Ada Hale", 10, 5)


def test_behind_a_month_stand_its_garments(owner):
    lived()

    month = {"since": "2025-02-01", "until": "2025-02-28"}
    behind = owner.get("/review/returns/garments/", month).context["behind"]

    assert [(garment.stage, hit) for garment, hit in behind.shown].count(("ordered", True)) == 1
    assert (behind.all, behind.hits) == (2, 1)


@pytest.mark.parametrize("by", ["maker", "month", "quarter", "fault"])
def test_way_back_from_a_month_leads_to_the_days_asked_about(owner, by):
    lived()
    asked = {**DAYS, "by": by}

    months = owner.get("/review/returns/", asked).context["closer"].months
    page = owner.get(months.links[1])
    back = re.search(r'class="trail".*?href="([^"]*)"', page.content.decode())[1]

    assert (page.context["behind"].all, page.context["behind"].hits) == (2, 1)
    assert "1 February 2025 to 28 February 2025" in page.content.decode()
    assert QueryDict(back.replace("&amp;", "&").split("?")[1]).dict() == asked


def test_part_of_the_days_that_is_nonsense_is_answered_beside_its_field(owner):
    page = owner.get("/review/returns/garments/", {**DAYS, "first": "soon"})

    assert list(page.context["form"].errors) == ["first"]


def test_part_beyond_the_days_asked_about_holds_nothing(owner):
    lived()

    page = owner.get("/review/returns/garments/", {**DAYS, "first": "2025-08-01"})

    assert page.content.decode().count("Nothing to count") == 1


@pytest.mark.parametrize("measure", [measure.key for measure in RATES])
def test_garments_behind_are_those_of_the_figure(owner, measure):
    lived(times=2)
    RemakeFactory(
        replaces=cut_again("2025-03-01"), garment=None, piece="collar", at=noon("2025-03-01")
    )

    behind = owner.get(f"/review/{measure}/garments/", DAYS).context["behind"]
    months = owner.get(f"/review/{measure}/", DAYS).context["closer"].months.lines

    assert (behind.hits, behind.all) == (sum(m[1] for m in months), sum(m[2] for m in months))


# -- bad input -------------------------------------------------------------------------------------


@pytest.mark.parametrize("measure", [measure.key for measure in RATES])
def test_empty_house_has_a_page_for_every_rate(owner, measure):
    page = owner.get(f"/review/{measure}/")

    assert page.context["closer"].figure == "too few to tell: 0 of 0"
    assert page.context["closer"].groups is None


def test_one_garment_names_nobody():
    delivered("2025-02-10", back="2025-02-11")

    closer = look_closer(RETURNS, HALF, NOW)

    assert closer.figure == "too few to tell: 1 of 1"
    assert closer.said == ["No month stands out."]


@pytest.mark.parametrize(
    ("field", "value"),
    [("until", "2024-01-01"), ("cutter", "nobody"), ("since", "soon"), ("by", "moon")],
)
def test_nonsense_in_address_is_answered_beside_field(owner, field, value):
    page = owner.get("/review/returns/", {**DAYS, field: value})

    assert list(page.context["form"].errors) == [field]
    assert "closer" not in page.context
    assert owner.get("/review/returns/months.csv", {**DAYS, field: value}).status_code == 302


def test_unknown_group_in_address_is_told(owner):
    lived()

    page = owner.get("/review/returns/garments/", {**DAYS, "group": "9999"})

    assert page.context["unknown"] == "9999"
    assert page.content.decode().count("No such row") == 1


@pytest.mark.parametrize(
    "address",
    ["/review/wages/", "/review/fittings/", "/review/wages/garments/", "/review/late/curve.csv"],
)
def test_what_no_rate_has_is_not_found(owner, address):
    assert owner.get(address).status_code == 404


@pytest.mark.parametrize("by", By.values)
def test_every_way_of_grouping_has_its_page(owner, by):
    lived(times=5)

    closer = owner.get("/review/remakes/", {**DAYS, "by": by}).context["closer"]

    assert closer.measure is REMAKES
    assert len(closer.months.lines) == 6


def test_definitions_page_tells_each_thing_once(owner):
    page = owner.get("/review/what-is-counted/").content.decode()

    titles = re.findall(r"<h2[^>]*>([^<]*)</h2>", page)
    # As the issue of the house's figures names them, and what the pages count beside them.
    assert titles == [
        "Remakes",
        "Returns",
        "Late",
        "Faults",
        "First-fitting faults",
        "Cured at the next look",
        "Fittings a garment",
        "A fault at the first fitting",
        "Faults at the first fitting",
    ]


@pytest.mark.parametrize("times", [1, 3])
@pytest.mark.parametrize(("address", "queries"), [("/review/returns/", 12), ("/review/late/", 11)])
def test_queries_stay_the_same_whatever_the_data(
    owner, django_assert_num_queries, address, queries, times
):
    lived(times=times)
    owner.get(address)
    forget()

    with django_assert_num_queries(queries):
        owner.get(address, DAYS)


def test_garments_behind_a_figure_stand_on_pages(owner):
    for _ in range(52):
        delivered("2025-03-01")

    pages = [owner.get("/review/returns/garments/", {**DAYS, "page": n}) for n in (1, 2, 99)]

    assert [len(page.context["behind"].shown) for page in pages] == [50, 2, 2]
    assert {page.context["behind"].all for page in pages} == {52}


@pytest.mark.parametrize("page", ["9" * 5000, "-1", "1e30", "\0"])
def test_page_that_is_no_page_is_the_nearest(owner, page):
    for _ in range(52):
        delivered("2025-03-01")

    found = owner.get("/review/returns/garments/", {**DAYS, "page": page}).context["behind"]

    assert found.all == 52
