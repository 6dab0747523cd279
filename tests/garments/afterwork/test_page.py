"""What the record holds of work measured before and after, and the page that tells it."""

import datetime
import uuid

import pytest
from django.urls import reverse, reverse_lazy
from django.utils import timezone

from customers.ledger import take_back
from customers.lengths import Length, parse
from customers.models import House
from garments.afterwork.cases import Work
from garments.afterwork.queries import leans_in_words, read_afterwork
from garments.aiming.services import record_finished_measures
from garments.models import Answer, Remake
from garments.workroom.services import answer_ticket, issue_ticket
from tests.factories import AlterationFactory, GarmentFactory, UserFactory

pytestmark = pytest.mark.django_db
OUT = Work("coat", "let-out", "side-seam")
PAGE = reverse_lazy("workroom:afterwork")


@pytest.fixture
def bench():
    return UserFactory(role="workroom")


@pytest.fixture
def measure(bench):
    def of(garment, inches, point="waist"):
        record_finished_measures(
            entry_id=uuid.uuid4(),
            garment=garment,
            where="board",
            values={(point, ""): parse(inches)},
            by=bench,
        )

    return of


@pytest.fixture
def work(bench, measure):
    """Side seams let out 1/4 in each, waist 40 before and as given after."""

    def do(after, *, kind="coat", finished=True):
        garment = GarmentFactory(kind=kind, stage="first-fitting")
        line = AlterationFactory(
            garment=garment,
            operation="let-out",
            seam="side-seam",
            side="both",
            amount=parse("1/4"),
            by=bench,
        )
        ticket = issue_ticket(
            form_id=uuid.uuid4(),
            garment=garment,
            alterations=[line],
            due_on=timezone.localdate(),
            note="",
            by=bench,
        )
        measure(garment, "40")
        if finished:
            said = {"revision": ticket.revisions.get(), "kind": "done", "reason": ""}
            answer_ticket(entry_id=uuid.uuid4(), by=bench, **said)
        measure(garment, after)
        return garment

    return do


@pytest.fixture
def as_bench(client, bench):
    client.force_login(bench)
    return client


def test_work_measured_is_learnt_from_the_record(work):
    for after in ("40 3/4", "40 3/4", "40 7/8", "40 5/8", "40 3/4"):
        work(after)

    (row,) = read_afterwork("in").rows
    lean = row.lean

    # 1 in asked of the girth: -1/4 -1/4 -1/8 -3/8 -1/4 of it; a fourth of that at each seam.
    assert (row.work, lean.count, lean.bias) == (OUT, 5, Length(-parse("1/16").nm))


def test_page_says_what_it_means_in_one_sentence(as_bench, work):
    for after in ("40 3/4", "40 3/4", "40 7/8", "40 5/8", "40 3/4"):
        work(after)

    (row,) = as_bench.get(PAGE).context["rows"]

    assert row.means == "Comes out 1/16 in short at the seam: ask 1/16 in more than is wanted."
    assert (row.bias, row.lean.count) == ("-1/16 in", 5)


def test_page_in_centimetres_tells_millimetres(as_bench, work):
    House.objects.update(unit="cm")
    for after in ("40 3/4", "40 3/4", "40 7/8", "40 5/8", "40 3/4"):
        work(after)

    (row,) = as_bench.get(PAGE).context["rows"]

    assert row.means == "Comes out 0.2 cm short at the seam: ask 0.2 cm more than is wanted."
    assert row.bias == "-1.6 mm"


def test_page_says_when_cases_are_too_few(as_bench, work):
    for _ in range(4):
        work("40 3/4")

    (row,) = as_bench.get(PAGE).context["rows"]

    assert row.means == "Too few to tell."


def test_page_says_what_all_seams_say_where_one_has_too_few(as_bench, work):
    for kind in ("coat", "coat", "coat", "waistcoat", "waistcoat"):
        work("40 3/4", kind=kind)

    rows = as_bench.get(PAGE).context["too_few"]

    words = "Too few to tell here; over all seams it comes out 1/16 in short (5 measured)."
    assert [(row.work.kind, row.lean.count, row.means) for row in rows] == [
        ("coat", 3, words),
        ("waistcoat", 2, words),
    ]


def test_page_with_no_case_says_how_to_begin(as_bench):
    body = as_bench.get(PAGE).content.decode()

    assert body.count("Nothing to tell yet") == 1


@pytest.mark.parametrize("what", ["not done", "cut again", "done taken back"])
def test_work_that_cannot_be_told_is_no_case(work, measure, bench, what):
    garment = work("41", finished=what != "not done")
    if what == "cut again":
        first = garment.finished_measures.earliest("at").at
        Remake.objects.create(
            replaces=garment,
            piece="back",
            reason="Torn",
            at=first + datetime.timedelta(microseconds=1),
            by=bench,
        )
    elif what == "done taken back":
        said = Answer.objects.get()
        take_back(said, entry_id=uuid.uuid4(), by=bench, same=("revision", "kind"))
        measure(garment, "41")

    assert read_afterwork("in").told == ()


def test_measure_struck_out_is_no_case(work, bench):
    garment = work("41")
    row = garment.finished_measures.latest("at")
    type(row).objects.create(
        garment=garment, point=row.point, value=row.value, strikes=row, void=True, by=bench
    )

    assert read_afterwork("in").told == ()


def test_page_asked_for_one_work_shows_its_cases(as_bench, work):
    work("41")
    trousers = work("40 1/2", kind="trousers")

    response = as_bench.get(PAGE, {"of": "trousers.let-out.side-seam"})

    told = response.context["page_obj"].object_list
    assert [(each.garment, each.off) for each in told] == [(trousers.number, "-1/8 in")]


@pytest.mark.parametrize("asked", ["coat", "coat.let-out.hem", "<script>", "\x00", "🧵" * 900])
def test_page_of_no_such_work_is_not_found(as_bench, work, asked):
    work("41")

    assert as_bench.get(PAGE, {"of": asked}).status_code == 404


# Session, user and groups; the house; what was done, what was cut again, the measures.
@pytest.mark.parametrize("count", [1, 3, 10])
def test_page_asks_the_same_queries(as_bench, work, django_assert_num_queries, count):
    for _ in range(count):
        work("41")

    with django_assert_num_queries(7):
        as_bench.get(PAGE)


# Beside a plan


@pytest.mark.parametrize("kind", ["coat", "overcoat"])
def test_plan_is_told_of_works_that_lean(work, kind):
    for _ in range(5):
        work("40 3/4")

    told = leans_in_words(kind, {"let-out", "take-in"}, "in")

    words = "Comes out 1/16 in short at the seam: ask 1/16 in more than is wanted (5 measured)."
    assert told == {("let-out", "side-seam"): words}


@pytest.mark.parametrize(
    ("after", "times", "kind", "operation"),
    [
        ("41", 5, "coat", "let-out"),  # as asked
        ("40 3/4", 4, "coat", "let-out"),  # too few
        ("40 3/4", 5, "trousers", "let-out"),  # of another kind
        ("40 3/4", 5, "coat", "take-in"),  # another work
        ("40 31/32", 5, "coat", "let-out"),  # by less than a tape shows
    ],
)
def test_plan_is_told_nothing_of_what_does_not_lean(work, after, times, kind, operation):
    for _ in range(times):
        work(after)

    assert leans_in_words(kind, {operation}, "in") == {}


@pytest.mark.parametrize(("operations", "queries"), [((), 0), (("let-out",), 3)])
@pytest.mark.parametrize("count", [1, 3])
def test_plan_asks_the_same_queries(work, django_assert_num_queries, operations, queries, count):
    for _ in range(count):
        work("40 3/4")

    with django_assert_num_queries(queries):
        leans_in_words("coat", operations, "in")


def test_plan_page_says_beside_the_line_that_it_leans(client, work, bench):
    for _ in range(5):
        work("40 3/4")
    coat = GarmentFactory(stage="first-fitting")
    for operation in ("let-out", "raise-hem"):
        seam = {"let-out": "side-seam", "raise-hem": "hem"}[operation]
        AlterationFactory(
            garment=coat, operation=operation, seam=seam, side="both", amount=parse("1/4"), by=bench
        )
    client.force_login(UserFactory(role="fitter"))

    shown = client.get(reverse("garments:plan_page", args=[coat.number])).context["shown"]

    words = "Comes out 1/16 in short at the seam: ask 1/16 in more than is wanted (5 measured)."
    told = {row.effect.step.operation: row.learnt for row in shown.rows}
    assert told == {"let-out": words, "raise-hem": ""}
