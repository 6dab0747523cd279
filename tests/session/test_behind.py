"""What is proposed on the fitting screen, and what taking a cause does."""

import re
import uuid

import pytest
from django.utils import timezone

from customers.lengths import Length
from fittings import catalogue
from fittings.models import CauseTaken, Lessons, Observation
from fittings.session import behind, looking
from garments.models import Alteration
from tests.factories import CauseTakenFactory, MeasurementSetFactory, ObservationFactory

pytestmark = pytest.mark.django_db

A_TAP = 15 * 1024
CAUSE_QUERIES = 38
STOOPING = {("chest", ""): 40, ("depth-of-scye", ""): 10.5, ("front-shoulder", ""): 12.5}


@pytest.fixture
def address(fitting, coat):
    return f"/fitting/{fitting.pk}/{coat.number}"


@pytest.fixture
def post(client, address):
    def send(path, *, tap=True, **values):
        headers = {"HX-Request": "true", "Accept-Encoding": "gzip"} if tap else {}
        values = {"entry_id": str(uuid.uuid4())} | values
        return client.post(f"{address}/{path}/", values, headers=headers)

    return send


@pytest.fixture
def shown(client, fitting):
    """The part of the page, as text."""

    def read():
        page = client.get(f"/fitting/{fitting.pk}/").content.decode()
        return re.search(r'<section id="behind".*?</section>', page, re.DOTALL)[0]

    return read


def words_of(html):
    return " ".join(re.sub("<[^>]+>", " ", html).split())


def keys_of(html):
    return re.findall(r'id="cause-([\w-]+)" name="cause"', html)


def propose(*rows, body=(), out=(), answers=()):
    seen = [Observation(zone=zone, fault=fault, side=side) for zone, fault, side in rows]
    return behind.propose(
        catalogue.load(),
        "coat",
        "baste",
        seen,
        answers=answers,
        body=dict(body),
        measures_out=dict(out),
    )


COLLAR = ("collar", "collar-stands-off", "")


def test_nothing_is_proposed_before_a_fault(shown, see):
    see(zone="collar", fault="")
    assert words_of(shown()) == "What may be behind it Proposed as soon as a fault is seen."


def test_sources_first_cause_is_proposed_first(shown, see):
    see()
    assert keys_of(shown())[0] == "back-balance-short"


def test_tap_of_a_fault_brings_its_causes(post):
    answer = post("seen", seen="collar-stands-off:", amount="3/8 in")
    assert [line.cause.key for line in answer.context["proposal"].lines][:1] == [
        "back-balance-short"
    ]


def test_reasons_name_sign_and_clean_zone():
    lines = {line.cause.key: line for line in propose(COLLAR, ("chest", "", "")).lines}
    short = lines["back-balance-short"]
    assert [each.what for each in short.speaking_for] == ["Collar: stands off the neck"]
    assert [each.what for each in short.speaking_against] == ["Chest clean"]


def test_stooping_figure_is_a_reason():
    body = {place: Length.inches(value) for place, value in STOOPING.items()}
    first = propose(COLLAR, body=body).lines[0]
    assert [each.what for each in first.speaking_for if each.what.startswith("Stooping")] == [
        "Stooping: the back is long by 7/8 in, the front short by 1 in"
    ]


def test_measured_waist_is_a_reason():
    out = {("waist", ""): Length.inches(-1)}
    first = propose(("waist", "waist-x", ""), out=out).lines[0]
    said = {each.what: (each.how, each.odds) for each in first.speaking_for}
    assert (first.cause.key, said["Waist measures under its target"]) == (
        "waist-tight",
        ("speaks for", "odds × 4"),
    )


def test_next_look_is_a_zone_not_spoken_of():
    look = propose(COLLAR, ("vents", "vent-kicks", "both")).look
    assert look.key not in ("collar", "vents")
    assert look.key in {zone.key for zone in catalogue.zones("coat")}


def test_all_looked_at_leaves_no_look():
    rest = [(zone.key, "", "") for zone in catalogue.zones("coat") if zone.key != "collar"]
    assert propose(COLLAR, *rest).look is None


def test_too_many_signs_leave_the_least_telling_out():
    rows = [(f.zone, f.key, "both" if f.sided else "") for f in catalogue.faults("coat")]
    found = propose(*rows)
    assert found.lines
    assert found.left_out
    kept = {name.split(":")[0] for name in found.record["present"]}
    assert len(kept) + len(found.left_out) == len(rows)


def test_record_is_what_was_said():
    record = propose(COLLAR).record
    assert (record["present"], record["absent"]) == (["collar-stands-off"], [])
    assert [row["rank"] for row in record["causes"]] == list(range(1, 11))
    assert record["causes"][0]["cause"] == "back-balance-short"
    assert 0 < record["none"] < record["causes"][0]["probability"] < 1


def test_one_tap_takes_the_cause_and_keeps_both(post, see):
    see()
    post("causes", cause="collar-too-long")

    kept = CauseTaken.objects.get()
    proposed = [row["cause"] for row in kept.proposed["causes"]]
    assert (kept.cause, kept.rank) == ("collar-too-long", proposed.index("collar-too-long") + 1)
    assert (proposed[0], kept.catalogue) == ("back-balance-short", "shipped")


def test_taken_cause_offers_its_alterations_with_amounts(post, see):
    see(amount="3/8")
    answer = post("causes", cause="back-balance-short")

    (taken,) = answer.context["causes_taken"]
    first = taken.offers[0].offer
    assert (first.title, first.amount, first.meant) == (
        "Pass back up, side seam",
        "⅜ in",
        "each side",
    )


def test_offer_says_how_it_fared_in_this_house(post, see, shown):
    row = ["back-balance-short", "collar-stands-off", "pass-up", "", 3.0, 5.0, 5, 3, 5]
    Lessons.objects.create(before=timezone.localdate(), cases=5, figures=[row])
    see(amount="3/8")
    post("causes", cause="back-balance-short")

    assert "each side Collar: stands off the neck. Here it cured 3 of 5." in words_of(shown())


def test_sign_that_asks_most_gives_the_amount(post, see):
    see(amount="1/4")
    see(zone="waist", fault="waist-swings-off", amount="1/2")
    answer = post("causes", cause="back-balance-short")

    works = {
        each.offer.title: each.offer.amount for each in answer.context["causes_taken"][0].offers
    }
    assert works["Pass back up, side seam"] == "½ in"


def test_offer_of_a_cause_is_taken_with_one_tap(post, see):
    seen = see(amount="3/8")
    post("causes", cause="back-balance-short")
    post("alterations", observation=seen.pk, remedy="back-balance-short:pass-up:side-seam")

    row = Alteration.objects.get()
    assert (row.cause, row.amount, list(row.observations.all())) == (
        "back-balance-short",
        Length.inches("3/8"),
        [seen],
    )


def test_work_offered_under_a_stronger_cause_is_taken_for_this_one(post, see):
    # Passing the back up is offered for the short back; here it answers the long front.
    seen = see(amount="3/8")
    usual = looking.usual_for_cause(
        catalogue.load(), "coat", "first-fitting", "front-balance-long", seen
    )
    key = next(each.key for each in usual if each.operation == "pass-up")
    post("alterations", observation=seen.pk, remedy=key)

    assert Alteration.objects.get().cause == "front-balance-long"


def test_own_words_are_shown_as_taken(post, see, shown):
    see()
    post("causes", words="The wallet in his pocket")
    assert "The wallet in his pocket in your words," in words_of(shown())


def test_struck_cause_is_offered_again(post, see, shown):
    see()
    post("causes", cause="back-balance-short")
    post(f"causes/{CauseTaken.objects.get().pk}/strike")

    page = shown()
    assert (
        'id="cause-back-balance-short" name="cause" value="back-balance-short" aria-pressed="false"'
        in page
    )
    assert "taken-cause" not in page


def test_without_javascript_the_page_comes_again(post, see, fitting, coat):
    see()
    answer = post("causes", tap=False, cause="back-balance-short")
    assert answer.url == f"/fitting/{fitting.pk}/?garment={coat.number}#behind"


@pytest.mark.parametrize("tap", [True, False])
@pytest.mark.parametrize(
    ("values", "field", "message"),
    [
        ({}, "cause", "Say which cause, or write it in your words."),
        ({"cause": "fork-small"}, "cause", "That is not a cause a coat can have."),
        ({"cause": "<script>"}, "cause", "That is not a cause a coat can have."),
        (
            {"cause": "hips-tight", "words": "and more"},
            "cause",
            "Either a cause of the list or your own words, not both.",
        ),
        (
            {"words": "x" * 301},
            "words",
            "Ensure this value has at most 300 characters (it has 301).",
        ),
        ({"cause": "hips-tight", "entry_id": "no uuid"}, "entry_id", "Enter a valid UUID."),
    ],
)
def test_bad_cause_is_refused_in_words(post, see, values, *, field, message, tap):
    see()
    answer = post("causes", tap=tap, **values)
    assert (answer.status_code, answer.context["form"].errors[field]) == (422, [message])
    assert CauseTaken.objects.count() == 0


def test_cause_of_another_session_is_not_found(post):
    assert post(f"causes/{CauseTakenFactory().pk}/strike").status_code == 404


def test_decided_garment_shows_its_causes_without_keys(post, see, shown):
    see()
    post("causes", cause="back-balance-short")
    post("next-step", step="finish")

    page = shown()
    assert (keys_of(page), "<form" in page) == ([], False)
    assert "Back balance short" in words_of(page)


@pytest.mark.parametrize("count", [1, 3, 12])
def test_cause_tap_asks_a_fixed_number_of_questions(
    post, fitting, coat, *, count, django_assert_num_queries
):
    MeasurementSetFactory(customer=coat.customer, measures=STOOPING)
    for fault in catalogue.faults("coat")[:count]:
        ObservationFactory(fitting=fitting, garment=coat, zone=fault.zone, fault=fault.key)
    CauseTakenFactory.create_batch(count, fitting=fitting, garment=coat)

    with django_assert_num_queries(CAUSE_QUERIES):
        answer = post("causes", cause="hips-tight")

    assert len(answer.content) < A_TAP
