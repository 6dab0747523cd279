import pytest

from fittings.rates import Row, mean_from_sums, proportion
from fittings.review.charts import LEFT, RIGHT, interval_chart


def chart_of(*counts, whole=(5, 100)):
    rows = [Row(f"Group {number}", proportion(*pair)) for number, pair in enumerate(counts)]
    return interval_chart(rows, proportion(*whole))


def test_chart_places_interval_in_proportion_to_axis():
    (bar,) = chart_of((50, 100)).bars
    low, value, high = (
        (place - LEFT) / (RIGHT - LEFT) * 0.60 for place in (bar.low, bar.value, bar.high)
    )

    assert (round(low, 2), round(value, 2), round(high, 2)) == (0.40, 0.50, 0.60)


@pytest.mark.parametrize(
    ("k", "n", "last"),
    [(0, 10_000, "1 %"), (1, 29, "20 %"), (50, 100, "60 %"), (7, 7, "100 %"), (0, 100, "4 %")],
)
def test_chart_axis_just_covers_the_widest_range(k, n, last):
    ticks = chart_of((k, n)).ticks

    assert (ticks[0].text, ticks[-1].text) == ("0 %", last)
    assert (ticks[0].x, ticks[-1].x) == (LEFT, RIGHT)


def test_chart_stays_inside_its_frame():
    chart = chart_of((0, 5), (5, 5), (1, 400), whole=(6, 410))

    places = [place for bar in chart.bars for place in (bar.low, bar.value, bar.high)]
    assert LEFT <= min(places) <= max(places) <= RIGHT
    assert max(bar.line_y for bar in chart.bars) < chart.height


def test_chart_draws_no_interval_for_small_groups():
    chart = chart_of((4, 4), (3, 30), whole=(7, 34))

    assert [bar.figure.too_few for bar in chart.bars] == [True, False]
    assert chart.ticks[-1].text == "30 %"


def test_chart_of_small_groups_alone_has_an_axis():
    chart = chart_of((1, 3), whole=(1, 3))

    assert [tick.text for tick in chart.ticks] == ["0 %", "1 %"]
    assert chart.whole is None


def test_chart_line_of_all_together_stands_at_its_rate():
    chart = chart_of((20, 100), whole=(15, 100))

    assert (chart.whole - LEFT) / (RIGHT - LEFT) * 0.30 == pytest.approx(0.15, abs=0.001)


def test_chart_of_means_counts_fittings_from_zero():
    rows = [Row("Weir", mean_from_sums(5, 13, 37)), Row("Pell", mean_from_sums(5, 2, 4))]

    chart = interval_chart(rows, mean_from_sums(10, 15, 41))

    assert [tick.text for tick in chart.ticks] == ["0", "1", "2", "3", "4"]
    assert chart.bars[1].low == LEFT


def test_chart_shortens_names_too_long_to_draw():
    (bar,) = interval_chart([Row("x" * 80, proportion(1, 10))], proportion(1, 10)).bars

    assert bar.name == "x" * 43 + "…"
