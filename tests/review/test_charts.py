import pytest

from fittings.rates import Row, mean_from_sums, proportion
from fittings.rates.funnel import funnel
from fittings.review.charts import LEFT, RIGHT, ROW_HEIGHT, TOP, interval_chart
from fittings.review.pictures import funnel_picture


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


def test_chart_rows_are_touched_anywhere_on_them():
    first, second = chart_of((3, 30), (4, 30)).bars

    assert (first.top, second.top) == (TOP, TOP + ROW_HEIGHT)
    assert first.top < first.name_y < first.line_y < first.top + 44  # as tall as the link is drawn


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

    assert bar.written == "x" * 43 + "…"


def test_chart_shortens_a_name_by_what_is_said_after_it():
    (bar,) = interval_chart([Row("x" * 80, proportion(1, 2))], proportion(1, 2)).bars

    assert bar.written.endswith("x…: too few to tell")
    assert len(bar.written) == 56


# -- names beside marks ----------------------------------------------------------------------------


def drawn_names(*counts):
    """The marks of rows with long names, by (hits, among)."""
    names = [f"Somebody Longname {number}" for number in range(len(counts))]
    found = funnel(dict(zip(names, counts, strict=True)))
    return funnel_picture(found, [""] * len(counts), "Cured", "alterations")


def box_of(mark):
    """Left, right and base line of a name."""
    length = 9 * len(mark.name)
    left = mark.name_x if mark.anchor == "start" else mark.name_x - length
    return left, left + length, mark.name_y


@pytest.mark.parametrize(
    "counts",
    [
        [(88, 129), (75, 107), (71, 147)],
        [(2, 47), (1, 51), (1, 52)],
        [(number, 40 + number) for number in range(3, 15)],
    ],
)
def test_names_run_into_no_mark_and_no_name(counts):
    marks = drawn_names(*counts).marks
    named = [mark for mark in marks if mark.name]

    assert len(named) >= min(len(marks), 6)
    for mark in named:
        left, right, level = box_of(mark)
        assert LEFT <= left < right <= 640
        assert 12 <= level <= 240
        for other in marks:
            if other is mark:
                continue
            # So near beside a mark it would be taken for that one's name.
            beside = right <= other.x - 18 or other.x + 18 <= left
            assert beside or abs(other.y - level + 5) >= 12
            if other.name:
                begin, end, at = box_of(other)
                assert right <= begin or end <= left or abs(level - at) >= 17


def test_line_leads_to_a_name_that_stands_off_its_mark():
    marks = drawn_names((88, 129), (88, 129), (71, 147)).marks

    assert [mark.led for mark in marks].count(True) >= 1
    assert all(mark.led == (abs(mark.name_y - mark.y - 5) >= 17) for mark in marks if mark.name)


def test_picture_counts_what_its_rows_are_made_of():
    assert drawn_names((88, 129), (75, 107)).foot == "alterations"
