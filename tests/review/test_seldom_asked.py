"""What is seldom asked: several years, one garment, months without a delivery, an empty house."""

import pytest
from django.utils import timezone

from fittings.review.seeing import could_see
from fittings.review.why import explain
from tests.review.scenes import NOW, altered, delivered
from tests.review.test_row_behind import HALF

pytestmark = pytest.mark.django_db
PAGES = [
    "/review/",
    "/review/remakes/",
    "/review/returns/",
    "/review/late/",
    "/review/first-fault/",
    "/review/cures/",
    "/review/returns/garments/",
    "/review/why/",
    "/review/behind/looks/?row=1",
    "/review/letter/",
]
YEARS = {"since": "2022-01-01", "until": "2026-06-30"}


def test_years_in_the_address_are_all_counted(owner):
    for year in range(2022, 2026):
        delivered(f"{year}-02-10", back=f"{year}-03-01", fittings=[f"{year}-01-20"])

    page = owner.get("/review/returns/", {**YEARS, "by": "kind"})

    closer = page.context["closer"]
    assert closer.figure == "too few to tell: 4 of 4"
    assert len(closer.months.lines) == 54  # four years and a half, those without a delivery too
    assert len(closer.pictures["months"].across) <= 12  # no name runs into the next


def test_links_of_years_keep_them_in_the_address(owner):
    for _ in range(6):
        delivered("2022-02-10")

    page = owner.get("/review/", {**YEARS, "by": "kind"})

    (link,) = page.context["tables"][1][0].links.values()
    assert link.startswith("/review/returns/garments/?since=2022-01-01&until=2026-06-30")
    assert owner.get(link).context["behind"].all == 6


@pytest.mark.parametrize("page", PAGES)
def test_one_garment_has_sensible_pages(owner, page):
    today = timezone.localdate().isoformat()
    delivered(today, fittings=[today])

    answer = owner.get(page)

    assert answer.status_code == 200
    assert answer.content.decode().count(" nan") == 0
    assert answer.content.decode().count(">None<") == 0


@pytest.mark.parametrize("page", PAGES)
def test_empty_house_has_every_page(owner, page):
    answer = owner.get(page)

    assert (answer.status_code, answer.content.decode().count("<h1>")) == (200, 1)


@pytest.mark.parametrize("page", [page for page in PAGES if "letter" not in page])
@pytest.mark.parametrize(
    "wrong",
    [{"cutter": "nobody"}, {"since": "2026-06-30", "until": "2026-01-01"}, {"cut": "9999"}],
    ids=["cutter", "reversed", "cut"],
)
def test_nonsense_in_the_address_is_asked_again(owner, page, wrong):
    answer = owner.get(page.partition("?")[0], wrong)

    field = "until" if "until" in wrong else next(iter(wrong))
    assert (answer.status_code, list(answer.context["form"].errors)) == (200, [field])


def test_one_row_alone_is_said_to_have_no_other(owner):
    for _ in range(12):
        delivered("2026-02-10")

    closer = owner.get("/review/returns/", {**YEARS, "by": "kind"}).context["closer"]

    assert closer.could_see == ["With one row alone there is no other to hold it against."]
    assert (closer.groups, closer.pair) == (None, "")


def test_alterations_say_beforehand_what_they_could_show():
    for verdict in ("cured", "cured", "same"):
        altered(verdict)

    assert explain(HALF, NOW).said["cures"].startswith("With one row alone there is no")


def test_few_garments_are_said_to_show_nothing():
    said = could_see("cutter", {"Ada": (1, 9), "Ben": (0, 9)}, "garments")

    assert said[0] == (
        "With 2 rows and 9 garments in the middle one, such a cutter would be named, at 2 times "
        "the rate of all in 0, at 3 times the rate of all in 0 of 100 such times. If all are "
        "equal, anyone at all is named in 5 of 100 at most."
    )


def test_what_could_be_seen_is_told_of_the_middle_row():
    said = could_see("cutter", {"Ada": (1, 9), "Ben": (3, 40), "Cara": (9, 200)}, "garments")

    assert said[0].startswith("With 3 rows and 40 garments in the middle one, such a cutter would")
