"""The workroom's list: order, filters, the load of the days, and asking again at no cost."""

import datetime
import uuid

import pytest
from django.urls import reverse_lazy
from django.utils import timezone

from garments.altering import strike_alteration
from garments.workroom.board import set_bench_hours
from tests.factories import AlterationFactory, UserFactory
from tests.workroom.scenes import answer

pytestmark = pytest.mark.django_db
WEEK = (480, 480, 480, 480, 480, 0, 0)
LIST = reverse_lazy("workroom:ticket_list")


def shown(response):
    return [row.ticket for _, rows in response.context["days"] for row in rows]


def test_ticket_list_shows_what_is_owed_late_first(as_bench, make_tickets, bench):
    today = timezone.localdate()
    later = make_tickets(1, due_on=today + datetime.timedelta(days=2))
    soon = make_tickets(2, due_on=today)
    answer(soon[0].revisions.get(), "done", bench)

    response = as_bench.get(LIST)

    assert shown(response) == [soon[1], *later]


def test_ticket_list_calls_a_day_past_late(as_bench, make_tickets, monkeypatch):
    make_tickets(1)
    after = timezone.localdate() + datetime.timedelta(days=5)
    monkeypatch.setattr(timezone, "localdate", lambda: after)

    response = as_bench.get(LIST)

    assert response.content.decode().count('class="badge late"') == 1


def test_ticket_list_asked_for_done_shows_only_done(as_bench, make_tickets, bench):
    done, _ = make_tickets(2)
    answer(done.revisions.get(), "done", bench)

    response = as_bench.get(LIST, {"state": "done"})

    assert shown(response) == [done]


@pytest.mark.parametrize(("later", "rows"), [(60, 1), (61, 0)])
def test_ticket_list_lets_what_is_done_go_after_sixty_days(
    as_bench, make_tickets, monkeypatch, later, rows
):
    (done,) = make_tickets(1, due_on=timezone.localdate())
    answer(done.revisions.get(), "done", UserFactory())
    after = timezone.localdate() + datetime.timedelta(days=later)
    monkeypatch.setattr(timezone, "localdate", lambda: after)

    response = as_bench.get(LIST, {"state": "done"})

    assert len(shown(response)) == rows


def test_ticket_list_leaves_out_a_garment_gone(as_bench, make_tickets):
    gone, kept = make_tickets(2)
    gone.garment.stage = "delivered"
    gone.garment.save()

    assert shown(as_bench.get(LIST)) == [kept]


@pytest.mark.parametrize("kind", ["", "taken", "asks", "cannot"])
def test_ticket_list_asked_for_a_state_shows_that_state(as_bench, make_tickets, bench, kind):
    kinds = ["", "taken", "asks", "cannot"]
    tickets = dict(zip(kinds, make_tickets(4), strict=True))
    for given in kinds[1:]:
        answer(tickets[given].revisions.get(), given, bench, reason="Look at it")
    state = {"": "issued", "taken": "in-hand", "asks": "asks", "cannot": "sent-back"}[kind]

    response = as_bench.get(LIST, {"state": state})

    assert shown(response) == [tickets[kind]]


def test_ticket_list_asked_for_a_day_shows_that_day(as_bench, make_tickets):
    today = timezone.localdate()
    make_tickets(1, due_on=today)
    (wanted,) = make_tickets(1, due_on=today + datetime.timedelta(days=1))

    response = as_bench.get(LIST, {"day": (today + datetime.timedelta(days=1)).isoformat()})

    assert shown(response) == [wanted]


def test_ticket_list_shows_why_it_was_sent_back(as_bench, revision, bench):
    answer(revision, "cannot", bench, reason="No cloth in the <hem>")

    response = as_bench.get(LIST)

    assert response.content.decode().count("No cloth in the &lt;hem&gt;") == 1


@pytest.mark.parametrize(
    ("asked", "field"),
    [({"state": "lost"}, "state"), ({"day": "soon"}, "day"), ({"day": "2026-02-31"}, "day")],
)
def test_ticket_list_refuses_a_filter_beside_its_field(as_bench, asked, field):
    response = as_bench.get(LIST, asked)

    assert (response.status_code, list(response.context["form"].errors)) == (422, [field])


def test_ticket_list_puts_forty_on_a_page(as_bench, make_tickets):
    tickets = make_tickets(41)

    response = as_bench.get(LIST, {"page": "2"})

    assert shown(response) == tickets[40:]


@pytest.fixture
def held(make_tickets, bench):
    """Three tickets: one of Bo's, one of Cy's, one of nobody."""
    bo, cy, free = make_tickets(3)
    other = UserFactory(username="cy", role="workroom")
    answer(bo.revisions.get(), "taken", bench)
    answer(cy.revisions.get(), "taken", other)
    return {bench.username: bo, "cy": cy, "-": free}


@pytest.mark.parametrize("who", ["cy", "-"])
def test_ticket_list_asked_for_a_hand_shows_what_they_have(as_bench, held, who):
    assert shown(as_bench.get(LIST, {"hand": who})) == [held[who]]


def test_ticket_sent_back_is_in_nobodys_hand(as_bench, held, bench):
    answer(held[bench.username].revisions.get(), "cannot", bench, reason="No cloth")

    response = as_bench.get(LIST, {"hand": "-"})

    assert shown(response) == [held[bench.username], held["-"]]


def test_ticket_asked_about_stays_in_its_hand(as_bench, held, bench):
    answer(held["cy"].revisions.get(), "asks", bench, reason="How far?")

    assert shown(as_bench.get(LIST, {"hand": "cy"})) == [held["cy"]]


def test_ticket_list_says_who_has_what(as_bench, held):
    rows = as_bench.get(LIST).context["board"].held

    # A ticket of these: 2 (40 + 2 x 1) for the hem, 2 (35 + 3) for the side seams: 160 minutes.
    assert {(row.username, row.tickets, row.minutes) for row in rows} == {
        ("" if name == "-" else name, 1, 160) for name in held
    }
    assert rows[-1].name == ""


def test_ticket_list_asked_for_an_operation_shows_its_tickets(
    as_bench, issue, decide, make_garment
):
    other = make_garment(stage="first-fitting")
    issue(decide("let-out", "side-seam", "both", "1/8", garment=other), garment=other)
    wanted = issue(decide("raise-hem", "hem", "both", "1/4"))

    assert shown(as_bench.get(LIST, {"operation": "raise-hem"})) == [wanted]


def test_ticket_list_offers_the_operations_owed_first(as_bench, make_tickets):
    make_tickets(1)

    form = as_bench.get(LIST).context["form"]

    heading, first = form.fields["operation"].choices[1]
    assert (heading, [key for key, _ in first]) == ("owed now", ["let-out", "raise-hem"])


@pytest.mark.parametrize("name", ["hand", "operation"])
@pytest.mark.parametrize("value", ["lost", "\x00", "\U0001f9f5", "0" * 4000, "1 OR 1=1"])
def test_ticket_list_refuses_who_or_what_is_unknown(as_bench, held, name, value):
    response = as_bench.get(LIST, {name: value})

    assert (response.status_code, list(response.context["form"].errors)) == (422, [name])
    assert len(shown(response)) == 3


# The load of the days


def test_minutes_owed_are_those_of_the_operations_by_hand(as_bench, make_tickets, fitter):
    set_bench_hours(entry_id=uuid.uuid4(), week=(150,) * 7, by=fitter)
    today = timezone.localdate()
    make_tickets(2, due_on=today)

    row = as_bench.get(LIST).context["board"].load.today

    # Each side: a hem up 40 and 1 an eighth, a side seam out 35 and 3 an eighth; 160 a ticket.
    assert (row.tickets, row.minutes, row.bench, row.short) == (2, 320, 150, 170)


def test_each_ticket_owed_says_its_minutes(as_bench, make_tickets, bench):
    done, owed = make_tickets(2)
    answer(done.revisions.get(), "done", bench)

    rows = [
        row
        for state in ("", "done")
        for _, rows in as_bench.get(LIST, {"state": state}).context["days"]
        for row in rows
    ]

    assert [(row.ticket, row.work) for row in rows] == [(owed, "2 h 40 min"), (done, "")]


def test_minutes_of_a_struck_line_are_not_owed(as_bench, issue, decide, fitter, tomorrow):
    line = decide("let-out", "side-seam", "both", "1/8")
    ticket = issue(line, decide("raise-hem", "hem", "both", "1/4"))
    answer(ticket.revisions.get(), "cannot", fitter, reason="No")
    strike_alteration(entry_id=uuid.uuid4(), alteration=line, by=fitter)

    load = as_bench.get(LIST).context["board"].load

    assert [(row.day, row.minutes) for row in load.days[1:]] == [(tomorrow, 84)]


def test_load_is_of_everything_owed_whatever_is_shown(as_bench, held):
    shown_all, one = as_bench.get(LIST), as_bench.get(LIST, {"hand": "cy"})

    assert one.context["board"].load == shown_all.context["board"].load


def test_list_of_what_is_done_has_no_load(as_bench, held):
    assert b"load-heading" not in as_bench.get(LIST, {"state": "done"}).content


# Asking again


@pytest.fixture
def ask(as_bench):
    """The part asked for again, with the tag it was drawn with."""

    def again(tag="", **asked):
        headers = {"HX-Request": "true"} | ({"If-None-Match": tag} if tag else {})
        return as_bench.get(LIST, asked, headers=headers)

    return again


def test_list_unchanged_is_answered_304_with_nothing(ask, held):
    again = ask(ask()["ETag"])

    assert (again.status_code, again.content) == (304, b"")


def test_page_carries_the_tag_its_part_is_asked_by(as_bench, ask, held):
    page = as_bench.get(LIST)

    assert page.context["tag"] == ask()["ETag"].strip('"')
    assert page["ETag"] != ask()["ETag"]


def test_part_is_the_list_alone(ask, held):
    body = ask().content.decode().strip()

    assert body.startswith('<div id="owed"')
    assert (body.count("<html"), body.count("data-asks-again")) == (0, 1)


def happenings():
    def taken(t, s):
        answer(t["-"].revisions.get(), "taken", s["bench"])

    def done(t, s):
        answer(t["cy"].revisions.get(), "done", s["bench"])

    def struck(t, s):
        line = t["-"].revisions.get().lines.first().alteration
        AlterationFactory(
            garment=line.garment,
            operation=line.operation,
            seam=line.seam,
            strikes=line,
            void=True,
            by=s["bench"],
        )

    def named(t, s):
        customer = t["-"].garment.customer
        customer.family_name = "Otherwise"
        customer.save()

    def gone(t, s):
        garment = t["-"].garment
        garment.stage = "delivered"
        garment.save()

    def hours(t, s):
        set_bench_hours(entry_id=uuid.uuid4(), week=WEEK, by=s["bench"])

    def midnight(t, s):
        day = timezone.localdate() + datetime.timedelta(days=1)
        s["monkeypatch"].setattr(timezone, "localdate", lambda: day)

    return [taken, done, struck, named, gone, hours, midnight]


@pytest.mark.parametrize("happens", happenings(), ids=lambda each: each.__name__)
def test_list_changed_is_sent_whole(ask, held, bench, monkeypatch, happens):
    tag = ask()["ETag"]

    happens(held, {"bench": bench, "monkeypatch": monkeypatch})

    again = ask(tag)
    assert (again.status_code, again["ETag"] == tag) == (200, False)


def test_list_of_what_is_done_changes_with_it(ask, held, bench):
    tag = ask(state="done")["ETag"]
    assert ask(tag, state="done").status_code == 304

    answer(held["cy"].revisions.get(), "done", bench)

    assert ask(tag, state="done").status_code == 200


def test_tag_of_another_filter_or_person_is_another(ask, as_bench, held):
    tags = {ask()["ETag"], ask(hand="cy")["ETag"], ask(operation="let-out")["ETag"]}
    as_bench.force_login(UserFactory(role="workroom"))
    tags.add(ask()["ETag"])

    assert len(tags) == 4


@pytest.mark.parametrize("tag", ["*x", "W/", '"' * 50, "\u00e9", "x" * 5000])
def test_nonsense_for_a_tag_is_sent_the_list(ask, held, tag):
    assert ask(tag).status_code == 200


# Session, user and groups; people; the bench's hours and what is owed, for the tag.
@pytest.mark.parametrize("count", [1, 3, 10])
def test_list_unchanged_asks_six_queries(ask, make_tickets, django_assert_num_queries, count):
    make_tickets(count)
    tag = ask()["ETag"]

    with django_assert_num_queries(6):
        ask(tag)


# Those six; the count, the rows, their lines; the lines owed and the bench's hours.
@pytest.mark.parametrize("count", [1, 3, 10])
def test_ticket_list_asks_the_same_queries(
    as_bench, make_tickets, django_assert_num_queries, count
):
    make_tickets(count)

    with django_assert_num_queries(11):
        as_bench.get(LIST)
