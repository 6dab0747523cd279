"""The calendar's page and its forms: what they keep, what they refuse, what they cost."""

import datetime

import pytest
from django.utils import timezone

from fittings.models import Absence, Booking, BookingChange, Closure, HolidayRule, OpeningHours
from tests.diary.conftest import errors_of, moment, next_monday, soon, words
from tests.factories import BookingFactory, UserFactory
from tests.opendays.conftest import tap

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
PAGE = "/open-days/"
TOO_LONG = "This lasts longer than three years: look at the year."
TODAY = timezone.localdate


def said(day):
    return f"{day.day} {day:%B} {day.year}"


def close(client, **values):
    usual = {"first": f"{soon(3)}", "last": f"{soon(4)}", "reason": "stocktaking", "repeats": ""}
    return client.post(f"{PAGE}closed/", tap(**usual | values))


def send_away(client, person, **values):
    usual = {"person": person.pk, "first": f"{soon(3)}", "last": f"{soon(4)}", "kind": "leave"}
    return client.post(f"{PAGE}away/", tap(**usual | values))


# -- closed days -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "errors"),
    [
        ({"last": lambda: soon(2)}, {"last": "This ends on {2}, before it starts on {3}."}),
        (
            {"last": lambda: soon(1200)},
            {"last": "This lasts longer than three years: look at the year."},
        ),
        (
            {"last": lambda: "3026-01-01"},
            {"last": "This lasts longer than three years: look at the year."},
        ),
        ({"first": lambda: soon(-9), "last": lambda: soon(-1)}, {"last": "Those days are over."}),
        (
            {"first": lambda: "2999-01-01", "last": lambda: "2999-01-02"},
            {"first": "That is more than three years from now: look at the year."},
        ),
        ({"first": lambda: ""}, {"first": "Say from which day."}),
        ({"first": lambda: "soon"}, {"first": "Write the day as year-month-day: 2026-11-25."}),
        (
            {"reason": lambda: " "},
            {"reason": "Say why the house is closed: stocktaking, summer closing."},
        ),
        (
            {"repeats": lambda: "weekly", "last": lambda: soon(9)},
            {"last": "What comes back every week lasts six days at most."},
        ),
        (
            {"repeats": lambda: "yearly", "last": lambda: soon(370)},
            {"last": "What comes back every year lasts less than a year."},
        ),
    ],
)
def test_wrong_closure_is_refused_beside_its_field(at_owner, values, errors):
    answer = close(at_owner, **{name: f"{value()}" for name, value in values.items()})

    days = {"{2}": said(soon(2)), "{3}": said(soon(3))}
    expected = {name: [text] for name, text in errors.items()}
    for mark, day in days.items():
        expected = {name: [text.replace(mark, day)] for name, (text,) in expected.items()}
    assert (answer.status_code, errors_of(answer)) == (422, expected)
    assert Closure.objects.count() == 0


def test_overlapping_closure_names_the_other(at_owner):
    close(at_owner)
    answer = close(at_owner, first=f"{soon(4)}", last=f"{soon(8)}", reason="moving")

    other = f"stocktaking, {said(soon(3))} to {said(soon(4))}"
    assert errors_of(answer) == {"first": [f"The house is closed then already: {other}."]}
    assert answer.context["form"]["reason"].value() == "moving"


def test_weekly_closures_leave_a_day_of_the_week(at_owner):
    close(at_owner, last=f"{soon(8)}", repeats="weekly")
    answer = close(at_owner, first=f"{soon(9)}", last="", repeats="weekly", reason="rest")

    assert errors_of(answer) == {"first": ["Then the house would be open on no day of the week."]}


def test_closure_over_bookings_is_kept_and_lists_them(at_owner, booked):
    close(at_owner, first=f"{soon(9)}", last=f"{soon(11)}")

    page = at_owner.get(PAGE)

    (row,) = page.context["to_move"]
    assert (row.booking, row.why) == (booked, "No fittings: stocktaking.")
    assert page.content.decode().count(f'href="/diary/{booked.pk}/move/"') == 1


def test_booking_kept_after_the_closure_stays(at_owner, booked, ansel):
    change = {"booking": booked, "fitter": ansel, "room": booked.room, "by": ansel}
    times = {"starts_at": booked.starts_at, "ends_at": booked.ends_at}
    close(at_owner, first=f"{soon(9)}", last=f"{soon(11)}")

    BookingChange.objects.create(what="booked", **change, **times)

    assert at_owner.get(PAGE).context["to_move"] == []


def test_ended_closure_opens_the_days_again(at_owner, booked):
    close(at_owner, first=f"{soon(9)}", last=f"{soon(11)}")
    closure = Closure.objects.get()

    for _ in range(2):
        at_owner.post(f"{PAGE}closed/{closure.pk}/end/", tap())

    page = at_owner.get(PAGE)
    assert (list(page.context["closures"]), page.context["to_move"]) == ([], [])
    assert words(page.content.decode()).count("Someone else ended this meanwhile.") == 1


def test_running_weekly_closure_keeps_the_days_gone_by(at_owner, owner):
    first = TODAY() - 14 * DAY
    running = Closure.objects.create(
        first=first, last=first, reason="x", repeats="weekly", by=owner
    )

    at_owner.post(f"{PAGE}closed/{running.pk}/end/", tap())

    (row,) = Closure.objects.standing()
    assert (row.first, row.until, row.strikes) == (first, TODAY() - DAY, running)


# -- who is away -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "last", "errors"),
    [
        (3, 2, {"last": "This ends on {2}, before it starts on {3}."}),
        (-4, -3, {"last": "Those days are over."}),
        (3, 1200, {"last": TOO_LONG}),
    ],
)
def test_wrong_absence_is_refused_beside_its_field(at_owner, ansel, first, last, errors):
    answer = send_away(at_owner, ansel, first=f"{soon(first)}", last=f"{soon(last)}")

    told = {"{2}": said(soon(2)), "{3}": said(soon(3))}
    expected = {
        name: [text.replace("{2}", told["{2}"]).replace("{3}", told["{3}"])]
        for name, text in errors.items()
    }
    assert (answer.status_code, errors_of(answer)) == (422, expected)


def test_absence_over_bookings_is_kept_and_lists_them(at_owner, booked, ansel):
    BookingFactory(starts_at=moment(soon(10), "14:00"))
    send_away(at_owner, ansel, first=f"{soon(10)}", last="")

    (row,) = at_owner.get(PAGE).context["to_move"]

    assert (row.booking, row.why) == (booked, f"Ansel Wren is away until {said(soon(10))}.")


def test_person_is_away_once_at_a_time(at_owner, ansel):
    send_away(at_owner, ansel)
    answer = send_away(at_owner, ansel, first=f"{soon(4)}", last=f"{soon(5)}")

    other = f"{said(soon(3))} to {said(soon(4))}"
    assert errors_of(answer) == {"first": [f"Ansel Wren is away then already: {other}."]}


def test_back_early_ends_an_absence_yesterday(at_owner, owner, ansel):
    away = Absence.objects.create(person=ansel, first=soon(-3), last=soon(3), by=owner)

    at_owner.post(f"{PAGE}away/{away.pk}/end/", tap())

    (row,) = Absence.objects.standing()
    assert (row.first, row.last, row.strikes) == (soon(-3), soon(-1), away)


def test_desk_enters_absences_and_nothing_else(client, ansel):
    client.force_login(UserFactory(role="front of house"))

    codes = [send_away(client, ansel).status_code, close(client).status_code]

    assert (codes, Absence.objects.count()) == ([302, 403], 1)
    assert client.get(PAGE).content.decode().count("/open-days/closed/") == 0


# -- the week --------------------------------------------------------------------------------------


def week(**values):
    usual = {f"opens_{number}": "09:00" for number in range(7)}
    return tap(**usual | {f"closes_{number}": "18:00" for number in range(7)} | values)


def test_only_changed_weekdays_are_entered(at_owner):
    at_owner.post(f"{PAGE}week/", week(opens_6="", closes_6="", closes_5="13:00"))

    rows = OpeningHours.objects.order_by("weekday").values_list("weekday", "opens", "closes")
    assert list(rows) == [(5, datetime.time(9), datetime.time(13)), (6, None, None)]


@pytest.mark.parametrize(
    ("values", "errors"),
    [
        ({"closes_0": "08:00"}, {"closes_0": ["Monday: it must close after it opens."]}),
        (
            {"closes_1": ""},
            {"closes_1": ["Tuesday: give both times, or neither when it is closed."]},
        ),
        ({"opens_2": "25:00"}, {"opens_2": ["Write the time as hours and minutes: 09:00."]}),
        (
            {f"{end}_{number}": "" for end in ("opens", "closes") for number in range(7)},
            {"__all__": ["The house is open on one day of the week at least."]},
        ),
    ],
)
def test_wrong_week_is_refused_beside_its_field(at_owner, values, errors):
    answer = at_owner.post(f"{PAGE}week/", week(**values))

    assert (answer.status_code, errors_of(answer)) == (422, errors)
    assert OpeningHours.objects.count() == 0


def test_shorter_day_lists_what_lies_outside(at_owner, ansel):
    late = BookingFactory(fitter=ansel, starts_at=moment(next_monday(), "16:00"))
    at_owner.post(f"{PAGE}week/", week(closes_0="13:00"))

    (row,) = at_owner.get(PAGE).context["to_move"]

    assert (row.booking, row.why) == (late, "The house is open from 09:00 to 13:00.")


# -- public holidays -------------------------------------------------------------------------------


def test_country_is_chosen_first_and_then_its_part(at_owner):
    country = at_owner.post(f"{PAGE}holidays/", tap(country="GB", subdivision="BY"))
    part = at_owner.post(f"{PAGE}holidays/", tap(country="GB", subdivision="SCT"))

    assert (country.url, part.url) == ("/open-days/holidays/", "/open-days/")
    kept = HolidayRule.objects.standing().get()
    assert (kept.country, kept.subdivision) == ("GB", "SCT")
    assert at_owner.get(PAGE).context["place"] == "United Kingdom, Scotland"


def test_part_of_another_country_is_refused(at_owner):
    at_owner.post(f"{PAGE}holidays/", tap(country="GB"))
    answer = at_owner.post(f"{PAGE}holidays/", tap(country="GB", subdivision="BY"))

    assert errors_of(answer) == {"subdivision": ["Choose a part of that country."]}


def test_holiday_is_worked_on_and_kept_again(at_owner):
    at_owner.post(f"{PAGE}holidays/", tap(country="GB"))
    worked = []
    for open_anyway in ("on", ""):
        values = tap(name="Christmas Day", open_anyway=open_anyway)
        at_owner.post(f"{PAGE}holidays/work/", values)
        rows = at_owner.get(PAGE).context["holidays"]
        worked.append([row.name for row in rows if row.worked])

    assert worked == [["Christmas Day"], []]


# -- the diary's pages -----------------------------------------------------------------------------


def test_week_says_why_a_day_is_closed_and_who_is_away(at_owner, owner, ansel):
    monday = next_monday()
    Closure.objects.create(first=monday, last=monday, reason="stocktaking", by=owner)
    Absence.objects.create(person=ansel, first=monday + DAY, last=monday + DAY, by=owner)

    days = at_owner.get("/diary/", {"date": f"{monday}"}).context["days"]

    away = f"Ansel Wren is away until {said(monday + DAY)}."
    assert [(day.closed, day.away) for day in days[:3]] == [
        ("stocktaking", []),
        ("", [away]),
        ("", []),
    ]


@pytest.mark.parametrize("entered", ["closed", "away"])
def test_day_has_no_free_time_when_closed_or_away(at_owner, owner, ansel, entered):
    monday = next_monday()
    if entered == "closed":
        Closure.objects.create(first=monday, last=monday, reason="stocktaking", by=owner)
    else:
        Absence.objects.create(person=ansel, first=monday, last=monday, by=owner)

    page = at_owner.get("/diary/day/", {"date": f"{monday}", "fitter": ansel.pk})

    cells = [cell for row in page.context["rows"] for cell in row.cells]
    note = "stocktaking" if entered == "closed" else f"Ansel Wren is away until {said(monday)}."
    assert [(cell.kind, cell.column.note) for cell in cells] == [("shut", note)]


# -- what it costs ---------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3, 30])
def test_calendar_page_costs_the_same_for_one_and_thirty(
    at_owner, owner, django_assert_num_queries, count
):
    HolidayRule.objects.create(country="GB", by=owner)
    for number in range(count):
        day = soon(3 + number)
        Closure.objects.create(first=day, last=day, reason="x", by=owner)
        fitter = UserFactory(role="fitter")
        Absence.objects.create(person=fitter, first=day, last=day, by=owner)
        BookingFactory(fitter=fitter, starts_at=moment(day))

    with django_assert_num_queries(10):
        page = at_owner.get(PAGE)

    assert len(page.context["to_move"]) == Booking.objects.count() == count
