"""The monthly letter: one A4, its numbers those of page and file, by button and by timer."""

import csv
import datetime
import html
import io
import re
from dataclasses import replace

import numpy as np
import pypdf
import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from fittings.promise import risk
from fittings.promising.queries import read_promises
from fittings.rates import monthly_chart
from fittings.review.letter import MOST_PROMISES, print_letter, write_letter
from fittings.review.measures import RATES
from fittings.review.sheets import Money, Tenths
from fittings.review.sums import forget
from tests.factories import AlterationFactory, GarmentFactory, MakerFactory, UserFactory
from tests.review.scenes import NOW, altered, cut_again, delivered, noon
from tests.review.test_closer import printed, rows_of

pytestmark = pytest.mark.django_db

MAY = datetime.date(2026, 5, 1)
ASKED = {"month": "2025-05"}


def lived(year=2026):
    """A year in which one of ten comes back, and a month in which most do."""
    cutters = [UserFactory(first_name=name) for name in ("Ada", "Ben")]
    for month in range(1, 7):
        for number in range(10):
            day, back = f"{year - 1}-{month + 6:02}-10", f"{year - 1}-{month + 6:02}-20"
            delivered(day, back=back if number < 1 else None, cutter=cutters[number % 2])
    for number in range(12):
        back = f"{year}-03-20" if number < 9 else None
        delivered(f"{year}-03-10", back=back, cutter=cutters[number % 2])
    for _ in range(6):
        altered("cured", f"{year}-05-05", cutter=cutters[0])
    cut_again(f"{year}-05-03")


def text_of(pdf):
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(pdf).pages))


def test_returns_are_told_of_the_newest_month_watched():
    lived()

    letter = write_letter(MAY, NOW)

    returns = next(line for line in letter.rates.lines if line[0] == "Returns")
    assert letter.watched == "March 2026"
    assert [returns[1], returns[2], returns[3], returns[5], returns[6]] == ["2026-03", 9, 12, 6, 60]
    assert letter.changed[0].startswith("Returns: 9 of 12, in the year before 6 of 60; +65 points")


def test_costs_are_of_the_month_whenever_the_garments_left():
    """Whose ninety days are not over has no rate yet, but what was altered has cost its minutes."""
    AlterationFactory(garment=delivered("2026-04-28", back="2026-05-04"), at=noon("2026-05-05"))

    _, after = write_letter(MAY, NOW).costs.lines

    assert after[:2] == ["Alterations after a return", 1]
    assert after[2] > 0


def test_month_beyond_its_limits_is_to_be_looked_at():
    lived()

    assert "Returns, 2026-03: outside the limits." in write_letter(MAY, NOW).look_at


def test_what_has_not_changed_is_said_so():
    lived()

    same = write_letter(MAY, NOW).same

    assert [line.split(":")[0] for line in same] == [
        "Remakes",
        "Late",
        "First-fitting faults",
        "Cured at the next look",
    ]
    assert same[3].endswith("6 of 6, in the year before 0 of 0; too few to tell.")


@pytest.mark.parametrize(
    ("promised", "stage", "at_risk"),
    [(14, "cut", 1), (15, "cut", 0), (-3, "cut", 1), (3, "finished", 0), (3, "delivered", 0)],
)
def test_promise_near_and_unfinished_is_at_risk(promised, stage, at_risk):
    GarmentFactory(promised_on=NOW.date() + datetime.timedelta(days=promised), stage=stage)

    lines = write_letter(MAY, NOW).promises.sheet.lines

    assert [line[3] for line in lines] == [promised] * at_risk


def seat_makers():
    for craft in ("cutter", "coat-maker", "trouser-maker", "finisher"):
        MakerFactory(craft=craft)


def test_promises_are_those_the_plan_calls_late_or_tight():
    seat_makers()
    late, far = (
        GarmentFactory(promised_on=NOW.date() + datetime.timedelta(days=days), stage="cut")
        for days in (5, 300)
    )
    plans = read_promises(NOW.date())

    ((number, *_, why),) = write_letter(MAY, NOW).promises.sheet.lines

    found = risk(plans.plans[late.number])
    assert (number, why) == (late.number, f"late: {found.reason}")
    assert risk(plans.plans[far.number]).step == "sure"


def test_page_file_and_paper_agree_in_every_number(owner):
    lived(year=2025)
    GarmentFactory(promised_on=timezone.localdate(), stage="basted")
    seat_makers()

    page = owner.get("/review/letter/", ASKED)
    paper = text_of(io.BytesIO(owner.get("/review/letter/letter.pdf", ASKED).content))

    for sheet in ("rates", "promises", "costs"):
        shown = rows_of(page, sheet)
        file = owner.get(f"/review/letter/{sheet}.csv", ASKED).content.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(file, newline="")))[1:]
        assert len(rows) == len(shown) > 0
        for line, told in zip(rows, shown, strict=True):
            plain = [cell.removeprefix("'") for cell in line]
            assert [printed(cell, text) for cell, text in zip(plain, told, strict=True)] == told
            assert " ".join(told) in paper


@pytest.mark.parametrize("full", [False, True])
def test_letter_is_one_sheet_of_a4(owner, full):
    if full:
        lived(year=2025)
        for _ in range(12):
            GarmentFactory(promised_on=timezone.localdate(), stage="basted")
        seat_makers()

    pdf = pypdf.PdfReader(io.BytesIO(owner.get("/review/letter/letter.pdf", ASKED).content))

    assert len(pdf.pages) == 1
    assert [round(float(side)) for side in pdf.pages[0].mediabox[2:]] == [595, 842]


@pytest.mark.parametrize("garments", [20, 170])
def test_equal_months_are_named_in_at_most_one_letter_of_five(garments):
    """What its last line says: thirteen months of five rates that nothing moves."""
    draw, named, letters = np.random.default_rng(3), 0, 300
    for _ in range(letters):
        charts = (
            monthly_chart((f"{month}", int(hits), garments) for month, hits in enumerate(drawn))
            for drawn in (draw.binomial(garments, rate, 13) for rate in (0.05, 0.06, 0.2, 0.6, 0.5))
        )
        named += any(chart.signals for chart in charts)

    assert 0 < named / letters < 0.2


MUCH = "First-fitting faults, cutter Bartholomew Featherstonehaugh: 123 of 456, more than luck."
LATE = "late: eleven days short: with every bench free the work takes until 28 September 2026"


@pytest.mark.parametrize("things", range(7))
def test_letter_with_much_to_look_at_is_one_sheet(things):
    """All it may hold: every sentence of rates, eight promises at risk, costs with all they say."""
    letter = write_letter(MAY, NOW)
    said = [f"{line} (likely -12 to +13)" for line in letter.same]
    promised = ["G151234-X", "Waistcoat", "2026-09-17", 30, LATE]
    sheet = replace(letter.promises.sheet, lines=[promised] * MOST_PROMISES)
    cost = ["Remakes", 12, 51_510, Tenths(12.5), Money(12_345.67)]
    full = replace(
        letter,
        same=said,
        look_at=[MUCH] * things,
        promises=replace(letter.promises, sheet=sheet, more=32),
        costs=replace(letter.costs, lines=[cost] * 2),
        costs_said=letter.costs_said * 2,
    )

    text = io.BytesIO(print_letter(full))

    assert len(pypdf.PdfReader(text).pages) == 1
    assert text_of(text).count("28 September 2026") == MOST_PROMISES


@pytest.mark.parametrize(
    ("month", "message"),
    [
        ("soon", "Give the month as year-month, such as 2026-03."),
        ("", "Give a month."),
        ("2199-01", "This month has not begun."),
    ],
)
def test_nonsense_month_is_answered_beside_the_field(owner, month, message):
    page = owner.get("/review/letter/", {"month": month})

    assert page.context["form"].errors == {"month": [message]}
    assert owner.get("/review/letter/letter.pdf", {"month": month}).status_code == 302
    assert owner.get("/review/letter/rates.csv", {"month": month}).status_code == 302


def test_letter_of_an_empty_house_says_little(owner):
    page = owner.get("/review/letter/").content.decode()

    assert page.count("Nothing, beyond what chance makes.") == 1
    assert page.count("too few to tell.") == 5
    assert owner.get("/review/letter/wages.csv").status_code == 404


def test_timer_writes_the_letter_of_last_month(tmp_path):
    call_command("monthly_letter", "--to", tmp_path)

    last = timezone.localdate().replace(day=1) - datetime.timedelta(days=1)
    (written,) = tmp_path.iterdir()
    assert written.name == f"letter-{last:%Y-%m}.pdf"
    assert f"{last:%B %Y}" in text_of(written)


def test_timer_refuses_what_is_no_month(tmp_path):
    with pytest.raises(CommandError) as refusal:
        call_command("monthly_letter", "--month", "May", "--to", tmp_path)

    assert str(refusal.value) == "Give the month as year-month, such as 2026-03."


@pytest.mark.parametrize("times", [1, 3])
def test_queries_stay_the_same_whatever_the_data(owner, django_assert_num_queries, times):
    for _ in range(times):
        lived(year=2025)
    owner.get("/review/letter/")
    forget()

    with django_assert_num_queries(15):
        owner.get("/review/letter/", ASKED)


def test_lines_of_the_page_lead_to_what_is_behind_them(owner):
    lived(year=2025)
    GarmentFactory(promised_on=timezone.localdate(), stage="basted")

    found = owner.get("/review/letter/", ASKED)
    page = found.content.decode()
    promised = [row[0] for row in rows_of(found, "promises")]
    links = [html.unescape(link) for link in re.findall(r'<th scope="row"><a href="(.*?)"', page)]

    assert len(links) == len(RATES) + len(promised) + 2
    assert {f"/folio/garments/{number}/" for number in promised} <= {*links}
    assert {owner.get(link).status_code for link in links} == {200}
    rates = write_letter(datetime.date(2025, 3, 1), NOW).rates
    behind = owner.get(rates.links[1]).context["behind"]
    assert (behind.hits, behind.all) == (rates.lines[1][2], rates.lines[1][3]) == (9, 12)


def test_month_of_the_picture_leads_to_its_garments_and_back_to_all_months(owner):
    lived(year=2025)

    march = write_letter(datetime.date(2025, 5, 1), NOW).picture.marks[-1]
    page = owner.get(march.link)
    back = re.search(r'class="trail".*?href="([^"]*)"', page.content.decode())[1]

    assert march.says == "2025-03: 9 of 12"
    assert (page.context["behind"].hits, page.context["behind"].all) == (9, 12)
    assert "since=2024-05-01&amp;until=2025-05-31" in back


def test_picture_without_a_table_says_every_month_and_what_its_lines_are(owner):
    lived(year=2025)

    page = owner.get("/review/letter/", ASKED).content.decode()
    described = re.search(r'<desc id="months-picture-desc">(.*?)</desc>', page, re.DOTALL)[1]

    picture = write_letter(datetime.date(2025, 5, 1), NOW).picture
    assert picture.marks
    assert all(f"{mark.says}." in described for mark in picture.marks)
    assert "The table beneath" not in described
    assert page.count("Dots: the limits of each month.") == 1
