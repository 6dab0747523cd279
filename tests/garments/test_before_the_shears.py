"""Each line before the shears at and around its boundary; then by the record and on the page."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from customers.lengths import Length
from customers.models import ReadingConfirmed
from customers.services import confirm_reading
from garments.aiming.services import record_wish
from garments.models import Garment, PassedLine
from garments.services import cut_garment
from garments.shears import checks
from garments.shears.checks import FITTINGS, LEAST_DAYS, least_days, working_days
from garments.shears.cloth import Need
from garments.shears.queries import before_cut
from garments.shears.services import pass_line, strike_pass
from tests.factories import CustomerFactory, UserFactory
from tests.garments.ready import days_ago, measured, ordered

TODAY = datetime.date(2026, 11, 25)  # a Wednesday
NEED = Need(Length.inches(64), "two rows")
INCH = Length.inches


@pytest.mark.parametrize(("days", "clean"), [(-1, False), (0, True), (182, True), (183, False)])
def test_measures_are_asked_about_after_half_a_year(days, clean):
    line = checks.recent(TODAY - datetime.timedelta(days=days), "Tam Reed", TODAY)

    assert line.clean == clean


def test_measures_say_when_and_by_whom():
    line = checks.recent(datetime.date(2026, 11, 15), "Tam Reed", TODAY)

    assert line.words == "Taken 15 November 2026 by Tam Reed."


@pytest.mark.parametrize(
    ("have", "clean", "may_pass"),
    [(None, False, False), ("63.875", False, True), ("64", True, False), ("70", True, False)],
)
def test_cloth_is_enough_to_the_eighth(have, clean, may_pass):
    line = checks.cloth_enough(have and INCH(have), NEED, "", "in")

    assert (line.clean, line.may_pass) == (clean, may_pass)


def test_short_cloth_says_by_how_much():
    line = checks.cloth_enough(INCH(60), NEED, "", "in")

    assert line.words == "It takes 1 yd 28 in (two rows); the piece has 1 yd 24 in: 4 in too short."


# 19 working days for a coat of three fittings: 5, twice 4 and 6.
@pytest.mark.parametrize(
    ("day", "clean", "may_pass"),
    [
        ("2026-11-24", False, False),
        ("2026-11-25", False, True),
        ("2026-12-21", False, True),
        ("2026-12-22", True, False),
    ],
)
def test_promise_is_possible_from_the_least_days_on(day, clean, may_pass):
    line = checks.promised("coat", datetime.date.fromisoformat(day), TODAY)

    assert (line.clean, line.may_pass) == (clean, may_pass)


@pytest.mark.parametrize(
    ("day", "there"),
    [("2026-11-24", 0), ("2026-11-25", 0), ("2026-11-27", 2), ("2026-11-29", 3), ("2026-12-02", 5)],
)
def test_working_days_leave_out_the_weekend(day, there):
    assert working_days(TODAY, datetime.date.fromisoformat(day)) == there


@pytest.mark.parametrize("kind", sorted(LEAST_DAYS))
def test_each_further_fitting_takes_longer(kind):
    counts = [least_days(kind, fittings) for fittings in (1, 2, 3, 4)]

    assert counts == sorted(set(counts))
    assert least_days(kind) == least_days(kind, FITTINGS[kind])


def test_least_days_of_a_suit_hold_its_hours():
    # 50 hours at least go into a suit and 8 weeks are promised at least (trade-facts, 6).
    days = least_days("coat") + least_days("trousers")

    assert days * 8 >= 50
    assert least_days("coat") < 8 * 5


def page_of(garment, measures, unit="in"):
    return before_cut(Garment.objects.for_lists().get(pk=garment.pk), measures, unit)


def open_in(garment, measures):
    return [(line.key, line.may_pass) for line in page_of(garment, measures).open]


def cut(garment, measures):
    return cut_garment(
        entry_id=uuid.uuid4(), garment=garment, measurement_set=measures, by=UserFactory()
    )


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["coat", "overcoat", "waistcoat", "trousers"])
def test_garment_with_everything_is_clean_and_cut(kind):
    measures = measured()
    garment = ordered(measures.customer, kind)

    assert open_in(garment, measures) == []
    assert cut(garment, measures).stage == "cut"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("taken", "agreed", "found"),
    [
        ({"days": 200}, {}, ("measures", True)),
        ({"measures": {("waist", ""): 41}}, {}, ("doubts", False)),
        ({"without": [("half-back", "R")]}, {}, ("missing", False)),
        ({"measures": {("half-back", "R"): 60}}, {}, ("missing", False)),
        ({}, {"figures": False}, ("cut", True)),
        ({}, {"cloth_length": None}, ("cloth", False)),
        ({}, {"cloth_length": INCH(40)}, ("cloth", True)),
        ({}, {"cloth_pattern": "check"}, ("cloth", False)),
        ({}, {"promised_on": days_ago(1)}, ("promise", False)),
        ({}, {"promised_on": days_ago(-2)}, ("promise", True)),
    ],
    ids=str,
)
def test_what_is_wrong_is_found_and_stops_the_shears(taken, agreed, found):
    measures = measured(**taken)
    garment = ordered(measures.customer, **agreed)

    assert found in open_in(garment, measures)
    with pytest.raises(ValidationError):
        cut(garment, measures)
    assert Garment.objects.get(pk=garment.pk).stage == "ordered"


@pytest.mark.django_db
def test_cutting_is_refused_naming_every_open_line():
    measures = measured()
    coat = ordered(measures.customer, cloth_length=None, promised_on=days_ago(1))

    with pytest.raises(ValidationError) as refusal:
        cut(coat, measures)

    assert [words.split(":")[0] for words in refusal.value.messages] == ["Cloth", "Promise"]


@pytest.mark.django_db
def test_newer_measures_that_differ_stop_the_older_set():
    older = measured(days=100)
    newer = measured(older.customer, measures={("waist", ""): 35})
    coat = ordered(older.customer)

    assert open_in(coat, older) == [("changed", True)]
    assert open_in(coat, newer) == []


@pytest.mark.django_db
def test_wish_against_the_standard_waits_for_a_name():
    measures = measured()
    coat, by = ordered(measures.customer), UserFactory()
    wish = {"garment": coat, "point": "sleeve", "amount": INCH("-1.5"), "by": by}
    record_wish(entry_id=uuid.uuid4(), **wish)
    waits = open_in(coat, measures)

    record_wish(entry_id=uuid.uuid4(), accepted_by=by, **wish)

    assert (waits, open_in(coat, measures)) == ([("wishes", False)], [])


def confirm(measures, reading, by, entry_id=None):
    return confirm_reading(
        entry_id=entry_id or uuid.uuid4(),
        measurement_set=measures,
        point=reading,
        side="",
        by=by,
    )


@pytest.mark.django_db
def test_reading_in_doubt_is_settled_by_a_name():
    measures, by = measured(measures={("waist", ""): 41}), UserFactory()
    coat = ordered(measures.customer)
    (asked,) = page_of(coat, measures).asked

    kept = confirm(measures, asked.point, by)

    assert (kept.by, kept.question) == (by, asked.question)
    assert "doubts" not in dict(open_in(coat, measures))


@pytest.mark.django_db
def test_reading_is_confirmed_once_however_often_it_is_said():
    measures, by = measured(measures={("waist", ""): 41}), UserFactory()
    reading, once = "chest", uuid.uuid4()

    said = [confirm(measures, reading, by, once) for _ in range(2)]
    said.append(confirm(measures, reading, UserFactory()))

    assert len(set(said)) == ReadingConfirmed.objects.count() == 1


@pytest.mark.django_db
def test_reading_nobody_asks_about_cannot_be_confirmed():
    with pytest.raises(ValidationError, match="Nothing is asked about that reading"):
        confirm(measured(), "chest", UserFactory())


def take_on(garment, measures, line, **changed):
    told = page_of(garment, measures).find(line).words
    values = {"entry_id": uuid.uuid4(), "told": told, "reason": "Pieced", "by": UserFactory()}
    return pass_line(garment=garment, measurement_set=measures, line=line, **values | changed)


@pytest.mark.django_db
def test_short_cloth_is_taken_on_by_name_and_cut():
    measures = measured()
    coat = ordered(measures.customer, cloth_length=INCH(60))

    kept = take_on(coat, measures, "cloth")

    assert page_of(coat, measures).find("cloth").passed == f"{kept.by.get_full_name()}: Pieced"
    assert cut(coat, measures).stage == "cut"


@pytest.mark.django_db
def test_line_taken_on_is_open_again_once_it_says_otherwise():
    measures = measured()
    coat = ordered(measures.customer, cloth_length=INCH(60))
    take_on(coat, measures, "cloth")

    Garment.objects.filter(pk=coat.pk).update(cloth_length=INCH(59))

    assert open_in(coat, measures) == [("cloth", True)]


@pytest.mark.django_db
def test_old_measures_taken_on_hold_on_the_next_day(monkeypatch):
    measures = measured(days=200)
    coat = ordered(measures.customer)
    take_on(coat, measures, "measures")
    tomorrow = days_ago(-1)

    monkeypatch.setattr(timezone, "localdate", lambda *_: tomorrow)

    assert open_in(coat, measures) == []


@pytest.mark.django_db
def test_line_taken_on_can_be_taken_back():
    measures, by = measured(), UserFactory()
    coat = ordered(measures.customer, cloth_length=INCH(60))
    once = {"entry_id": uuid.uuid4(), "passed": take_on(coat, measures, "cloth"), "by": by}

    assert strike_pass(**once) == strike_pass(**once)
    assert open_in(coat, measures) == [("cloth", True)]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("agreed", "line", "changed", "field"),
    [
        ({"cloth_length": None}, "cloth", {}, "line"),
        ({"cloth_length": INCH(60)}, "cloth", {"reason": "  "}, "reason"),
        ({"cloth_length": INCH(60)}, "cloth", {"told": "It takes 1 yd"}, "line"),
        ({}, "cloth", {}, "line"),
        ({}, "memory", {}, "line"),
    ],
)
def test_taking_on_is_refused_with_its_reason(agreed, line, changed, field):
    measures = measured()
    coat = ordered(measures.customer, **agreed)

    with pytest.raises(ValidationError) as refusal:
        take_on(coat, measures, line, **changed)

    assert list(refusal.value.message_dict) == [field]
    assert PassedLine.objects.count() == 0


@pytest.mark.django_db
def test_page_shows_what_stops_the_shears(client, sign_in):
    sign_in("fitter")
    measures = measured(measures={("waist", ""): 41})
    coat = ordered(measures.customer, cloth_length=None)

    answer = client.get(f"/garments/{coat.number}/cut/")
    page = answer.content.decode()

    assert page.count(f"{len(answer.context['page'].open)} lines open: not to be cut yet") == 1
    assert page.count("It is as the tape said") == 1
    assert page.count("how long the piece is, nobody entered") == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("days", "age"), [(0, "of today"), (1, "1\xa0day old"), (21, "3\xa0weeks old")]
)
def test_page_tells_how_old_each_set_is(client, sign_in, days, age):
    sign_in("fitter")
    measures = measured(days=days)
    coat = ordered(measures.customer)

    page = client.get(f"/garments/{coat.number}/cut/").content.decode()

    assert page.count(f'<span class="hint">{age}</span>') == 1


@pytest.mark.django_db
def test_page_cuts_from_the_newest_set_once_clean(client, sign_in):
    sign_in("fitter")
    older = measured(days=60)
    newest = measured(older.customer)
    coat = ordered(older.customer)
    page = f"/garments/{coat.number}/cut/"

    chosen = client.get(page).context["form"]["measurement_set"].value()
    client.post(page, {"entry_id": str(uuid.uuid4()), "measurement_set": str(chosen)})

    coat.refresh_from_db()
    assert (coat.measurement_set, coat.stage) == (newest, "cut")


@pytest.mark.django_db
def test_page_keeps_the_reason_of_what_is_refused(client, sign_in):
    sign_in("fitter")
    measures = measured()
    coat = ordered(measures.customer, cloth_length=None)
    sent = {"entry_id": str(uuid.uuid4()), "measurement_set": str(measures.pk), "line": "cloth"}
    sent |= {"told": page_of(coat, measures).find("cloth").words, "reason": "By the eye"}

    answer = client.post(reverse("garments:line_pass", args=[coat.number]), sent)

    assert answer.status_code == 422
    assert answer.context["passing"]["reason"].value() == "By the eye"
    assert PassedLine.objects.count() == 0


@pytest.mark.django_db
def test_page_without_measures_asks_for_them(client, sign_in):
    sign_in("fitter")

    page = client.get(f"/garments/{ordered(CustomerFactory()).number}/cut/").content.decode()

    assert (page.count("No measures yet"), page.count("It is cut from these")) == (1, 0)


@pytest.mark.django_db
@pytest.mark.parametrize("sets", [1, 3])
def test_page_asks_the_same_queries(client, sign_in, django_assert_num_queries, sets):
    sign_in("fitter")
    customer = measured(days=100).customer
    for days in range(sets):
        measured(customer, days=days)
    page = f"/garments/{ordered(customer).number}/cut/"

    # session, user, roles, garment, sets shown, their measures, the house, wishes, what was
    # finished, earlier measures, who confirmed, newer measures, the pattern's memory (three and
    # the house), lines taken on, whether it is cut from, sets to choose from
    with django_assert_num_queries(18):
        client.get(page)
