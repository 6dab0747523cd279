"""Each measure over time: where its marks go, what stands beside it, the page and the paper."""

import datetime
import io
import re
from itertools import pairwise

import pytest
from django.urls import reverse
from pypdf import PdfReader

from customers.lengths import Length
from customers.measuring.charts import BOTTOM, LEFT, RIGHT, TOP, chart
from customers.measuring.history import histories
from tests.factories import CustomerFactory, MeasurementSetFactory, UserFactory

START = datetime.date(2024, 1, 1)


def dated(*pairs):
    return [(START + datetime.timedelta(days=day), Length.inches(inch)) for day, inch in pairs]


def sets_of(*values, point="waist", side=""):
    return [(day, {(point, side): value}) for day, value in dated(*values)]


def point_history(sets, unit="in"):
    ((_, (history,)),) = histories(sets, unit)
    return history


# Where the marks go


def test_chart_places_readings_in_proportion():
    drawn = chart("waist", {"": dated((0, 33), (100, 34), (400, 35))}, "in")

    (track,) = drawn.tracks
    assert [x for x, _ in track.dots] == [LEFT, LEFT + (RIGHT - LEFT) / 4, RIGHT]
    first, middle, last = (y for _, y in track.dots)
    assert first - middle == pytest.approx(middle - last, abs=0.11)
    assert first > middle > last


def test_chart_band_is_no_change_from_newest():
    drawn = chart("waist", {"": dated((0, 33), (400, 34))}, "in")

    (track,) = drawn.tracks
    an_inch = track.dots[0][1] - track.dots[1][1]
    # 10.939 mm either way, worked by hand in test_change
    assert track.band_height / an_inch == pytest.approx(2 * 10.939 / 25.4, abs=0.01)
    assert track.band_top + track.band_height / 2 == pytest.approx(track.dots[1][1], abs=0.1)


@pytest.mark.parametrize(
    ("low", "high", "unit", "levels"),
    [
        (33, 34, "in", ["33 in", "33 1/2 in", "34 in", "34 1/2 in"]),
        (30, 40, "in", ["30 in", "35 in", "40 in", "45 in"]),
        (33, 34, "cm", ["83 cm", "84 cm", "85 cm", "86 cm", "87 cm", "88 cm"]),
    ],
)
def test_chart_levels_are_round_and_few(low, high, unit, levels):
    drawn = chart("waist", {"": dated((0, low), (400, high))}, unit)

    assert [tick.text for tick in drawn.levels] == levels


@pytest.mark.parametrize("point", ["waist", "knee", "wrist"])
@pytest.mark.parametrize("inches", [(33, 33), (1, 100), (33, 33.0625)])
def test_chart_stays_inside_its_frame(point, inches):
    drawn = chart(point, {"": dated((0, inches[0]), (1, inches[1]))}, "in")

    (track,) = drawn.tracks
    edges = [track.band_top, track.band_top + track.band_height, *(y for _, y in track.dots)]
    assert TOP <= min(edges) <= max(edges) <= BOTTOM + 0.1
    assert 2 <= len(drawn.levels) <= 6


def test_chart_of_many_years_writes_some_of_them():
    drawn = chart("waist", {"": dated((0, 33), (365 * 40, 34))}, "in")

    places = [year.at for year in drawn.years]
    assert min(b - a for a, b in pairwise(places)) >= 56
    assert len(places) >= 4


@pytest.mark.parametrize("readings", [[], dated((0, 33)), dated((0, 33), (0, 34))])
def test_chart_needs_two_days(readings):
    series = {"": readings} if readings else {}

    assert chart("waist", series, "in") is None


# What stands beside it


def test_history_tells_readings_newest_first():
    history = point_history(sets_of((0, 33), (200, 33.25), (400, 34.5)))

    assert [(one.text, one.words, one.changed) for one in history.readings] == [
        ("34 1/2 in", "+1 1/4 in (± 3/8 in)", True),
        ("33 1/4 in", "+1/4 in, no change (± 3/8 in)", False),
        ("33 in", "", False),
    ]


def test_history_keeps_left_and_right_apart():
    both = [
        (day, {("wrist", "L"): left, ("wrist", "R"): left + Length.inches(1)})
        for day, left in dated((0, 6.5), (400, 6.5))
    ]

    history = point_history(both)

    assert [track.side for track in history.chart.tracks] == ["left", "right"]
    assert [(one.side, one.text) for one in history.readings] == [
        ("left", "6 1/2 in"),
        ("right", "7 1/2 in"),
        ("left", "6 1/2 in"),
        ("right", "7 1/2 in"),
    ]


def test_history_tells_trend_from_three_sets():
    two, three = sets_of((0, 33), (365, 34)), sets_of((0, 33), (365, 34), (731, 35))

    assert point_history(two).told == []
    assert point_history(three).told == ["+1 in a year (between +13/16 in and +1 3/16 in)"]


def test_history_of_nothing_is_empty():
    assert histories([], "in") == []


def test_history_skips_sets_without_the_point():
    sets = [*sets_of((0, 33)), *sets_of((200, 15), point="neck"), *sets_of((400, 35))]

    groups = histories(sets, "in")

    names = {name: [one.point.key for one in points] for name, points in groups}
    assert names == {"Neck and shoulders": ["neck"], "Body": ["waist"]}
    assert groups[1][1][0].readings[0].words == "+2 in (± 3/8 in)"


# The page and the paper


def page(customer, name="measure_history"):
    return reverse(f"customers:{name}", args=[customer.number])


@pytest.fixture
def over_years(ozge):
    for year, waist in ((2023, 33), (2024, 34), (2025, 35)):
        MeasurementSetFactory(
            customer=ozge,
            taken_on=datetime.date(year, 5, 1),
            measures={("waist", ""): waist, ("wrist", "L"): 6.5, ("wrist", "R"): 6.75},
        )
    return ozge


@pytest.mark.usefixtures("fitter")
def test_page_draws_each_point_with_its_table(client, over_years):
    text = client.get(page(over_years)).text

    assert re.findall(r'<svg role="img" aria-labelledby="([^"]+)"', text) == [
        "waist-title waist-desc",
        "wrist-title wrist-desc",
    ]
    assert text.count('<table class="ledger close">') == 2
    # above the charts, below the heading and in the drawing's words
    assert text.count("+1 in a year (between") == 3


@pytest.mark.usefixtures("fitter")
def test_drawing_has_no_style_of_its_own(client, over_years):
    drawings = re.findall(r'<svg role="img".*?</svg>', client.get(page(over_years)).text, re.DOTALL)

    assert re.findall(r"style=|class=|<style|<script| on\w+=", "".join(drawings)) == []
    assert [drawing.count("<title") for drawing in drawings] == [1, 1]


@pytest.mark.usefixtures("fitter")
def test_page_reads_in_the_customers_unit(client, over_years):
    over_years.unit = "cm"
    over_years.save()

    groups = client.get(page(over_years)).context["groups"]

    assert groups[0][1][0].readings[0].text == "88.9 cm"


@pytest.mark.usefixtures("fitter")
def test_page_leaves_out_a_corrected_set(client, ozge):
    wrong = MeasurementSetFactory(customer=ozge, measures={("waist", ""): 13})
    MeasurementSetFactory(customer=ozge, strikes=wrong, measures={("waist", ""): 31})

    ((_, (history,)),) = client.get(page(ozge)).context["groups"]

    assert ([one.text for one in history.readings], history.chart) == (["31 in"], None)


@pytest.mark.usefixtures("fitter")
def test_page_never_measured_says_so(client, ozge):
    text = client.get(page(ozge)).text

    assert (text.count("Not measured yet"), text.count("over-time.pdf")) == (1, 0)


@pytest.mark.usefixtures("fitter")
def test_paper_holds_what_the_page_holds(client, over_years):
    answer = client.get(page(over_years, "measure_history_pdf"))

    text = "\n".join(one.extract_text() for one in PdfReader(io.BytesIO(answer.content)).pages)
    words = " ".join(text.split())
    assert answer.headers["Content-Disposition"] == (
        f'inline; filename="measures-{over_years.number}.pdf"'
    )
    assert words.count("+1 in (± 3/8 in)") == 2
    # a waist and two wrists in each year; two charts, which write first and last day, and new years
    assert [words.count(year) for year in ("2023", "2024", "2025")] == [3 + 2, 3 + 2, 3 + 2 + 2]


@pytest.mark.usefixtures("fitter")
def test_paper_loads_nothing_from_a_name(client, over_years):
    over_years.family_name = "<img src=file:///etc/passwd>"
    over_years.save()

    answer = client.get(page(over_years, "measure_history_pdf"))

    words = " ".join(PdfReader(io.BytesIO(answer.content)).pages[0].extract_text().split())
    assert words.count("<img src=file:///etc/passwd>") == 2


@pytest.mark.usefixtures("fitter")
def test_paper_never_measured_says_so(client, ozge):
    answer = client.get(page(ozge, "measure_history_pdf"))

    assert "Not measured yet." in PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize("name", ["measure_history", "measure_history_pdf"])
def test_history_of_unknown_customer_is_not_found(client, name):
    assert client.get(reverse(f"customers:{name}", args=["C9999-X"])).status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["measure_history", "measure_history_pdf"])
def test_front_of_house_may_not_open_histories(client, name):
    client.force_login(UserFactory(role="front of house"))

    assert client.get(page(CustomerFactory(), name)).status_code == 403


@pytest.mark.usefixtures("fitter")
@pytest.mark.parametrize("sets", [1, 3, 30])
def test_history_costs_same_queries(client, ozge, sets, django_assert_num_queries):
    MeasurementSetFactory.create_batch(sets, customer=ozge, measures={("chest", ""): 38})

    # session, user, roles, customer, house, sets with who took them, measures
    with django_assert_num_queries(7):
        client.get(page(ozge))
