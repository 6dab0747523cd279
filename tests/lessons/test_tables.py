import pytest

from fittings import catalogue
from fittings.diagnosis import prior_of
from fittings.learning import Chance, Frequency, Learnt, Record, Row
from fittings.learning.calibration import reliability
from fittings.lessons.charts import reliability_diagram
from fittings.lessons.tables import calibration_of, line_of, lines_of

REMEDY = Row("back-balance-short", "collar-stands-off", "pass-up")
OTHER = Row("collar-too-long", "collar-stands-off", "shorten-collar")
PRIOR = Row("back-balance-short", kind="coat")
LEARNT = Learnt(
    {
        REMEDY: Chance(0.65, 6, worth=4, good=6),
        OTHER: Chance(0.65, 9, worth=4, good=2, bad=7),
        PRIOR: Frequency(0.04, 6, worth=8, found=5, expected=3),
    },
    {REMEDY: Record(6, 6), OTHER: Record(1, 9)},
)


def names(**asked):
    wanted = {"what": "remedies", "least": 1, "sort": "apart"} | asked
    return [line.row for line in lines_of(LEARNT, catalogue.load(), {}, **wanted)]


@pytest.mark.parametrize(
    ("sort", "order"),
    [("apart", [OTHER, REMEDY]), ("cases", [OTHER, REMEDY]), ("name", [REMEDY, OTHER])],
)
def test_figures_stand_in_the_order_asked(sort, order):
    assert names(sort=sort) == order


def test_figures_of_one_sort_with_cases_enough():
    assert names(least=7) == [OTHER]
    assert names(what="priors") == [PRIOR]
    assert names(what="links") == []


def test_line_tells_figure_in_words():
    line = line_of(REMEDY, LEARNT, catalogue.load(), {})

    assert line.name == "Back balance short · Stands off the neck · Pass back up"
    # By hand: (2.6 + 6) / 10; Beta(8.6, 1.4).
    assert (line.book, line.learnt, line.apart, line.house) == (
        "65 %",
        "86 %",
        "+21.0",
        "6 of 6 cured",
    )
    assert line.likely == "60 % to 99 %"


def test_prior_tells_found_against_expected():
    line = line_of(PRIOR, LEARNT, catalogue.load(), {})

    # By hand: odds 1/24 times 13/11.
    assert (line.learnt, line.house) == ("4.7 %", "found 5.0, expected 3.0")


def test_figure_without_a_case_is_the_catalogues():
    line = line_of(Row("neck-too-wide", kind="coat"), LEARNT, catalogue.load(), {})

    assert line.figure.cases == 0
    assert line.learnt == line.book
    assert line.figure.book == prior_of(catalogue.load().cause_by_key["neck-too-wide"])


def test_row_the_catalogue_has_not_is_none():
    assert line_of(Row("nobody", kind="coat"), LEARNT, catalogue.load(), {}) is None
    assert line_of(Row("nobody", "nothing"), LEARNT, catalogue.load(), {}) is None


def pairs(said, alone, true, false):
    return [[said, alone, True]] * true + [[said, alone, False]] * false


def test_too_few_looks_show_no_score():
    shown = calibration_of({"looks": 19, "pairs": pairs(0.8, 0.5, 15, 4)})

    assert (shown.too_few, shown.said, shown.diagram) == (True, "", None)


@pytest.mark.parametrize(
    ("said", "alone", "words"),
    [
        (0.8, 0.4, "What was proposed did better"),
        (0.4, 0.8, "What was proposed did worse"),
        (0.8, 0.8, "What was proposed is what the catalogue alone"),
        (0.79, 0.81, "What was proposed and the catalogue alone cannot be told apart"),
    ],
)
def test_scores_are_told_apart_or_not(said, alone, words):
    shown = calibration_of({"looks": 40, "pairs": pairs(said, alone, 32, 8)})

    assert shown.verdict.startswith(words)


def test_scores_and_tenths_in_words():
    shown = calibration_of({"looks": 40, "pairs": pairs(0.8, 0.4, 32, 8)})

    # By hand: 0.8 of 0.2 squared and 0.2 of 0.8 squared; 0.8 of 0.6 squared and 0.2 of 0.4 squared.
    assert (shown.said, shown.alone, shown.reference) == ("0.1600", "0.3200", "0.1600")
    (tenth,) = shown.tenths
    assert (tenth.span, tenth.came, tenth.likely) == ("80 to 90 %", "32 of 40", "65–90 %")


def test_diagram_puts_truth_on_the_diagonal():
    bins = reliability([(0.5, True), (0.5, False)])
    diagram = reliability_diagram(bins, bins, 0.5)
    (mark,) = diagram.said

    # The middle of the square: 64 + 160 across, 40 + 160 down.
    assert (mark.x, mark.y, diagram.base_y) == (224, 200, 200)
    assert mark.high < mark.y < mark.low
