import datetime
import threading
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.utils import timezone

from customers.lengths import Length, parse
from customers.numbers import tidy
from customers.people import name_of
from garments.altering import strike_alteration
from garments.models import Ticket, TicketLine, TicketRevision
from garments.workroom.queries import open_alterations
from garments.workroom.services import answer_ticket, issue_ticket, revise_ticket
from tests.factories import AlterationFactory, GarmentFactory, UserFactory

pytestmark = pytest.mark.django_db
PAST = datetime.date(2020, 1, 1)


def lines_of(revision):
    return [
        (line.position, line.alteration.operation, line.inlay_before, line.inlay_after)
        for line in revision.lines.select_related("alteration")
    ]


def revise(ticket, alterations, by, **changed):
    values = {
        "entry_id": uuid.uuid4(),
        "due_on": timezone.localdate(),
        "note": "",
        "reason": "The hem stays",
    }
    return revise_ticket(ticket=ticket, alterations=alterations, by=by, **(values | changed))


def test_issue_ticket_numbers_it_with_a_check_character(issue, decide):
    ticket = issue(decide("let-out", "side-seam", "both", "3/8"))

    assert tidy(ticket.number) == ticket.number
    assert ticket.number.startswith("T1001-")


def test_issue_ticket_keeps_what_was_given(issue, decide, coat, fitter, tomorrow):
    revision = issue(decide("let-out", "side-seam", "both", "3/8"), note=" Mind the check ")

    kept = revision.revisions.get()
    assert (revision.garment, kept.revision, kept.due_on) == (coat, 1, tomorrow)
    assert (kept.note, kept.by, kept.strikes) == ("Mind the check", fitter, None)


def test_issue_ticket_puts_lines_in_working_order(issue, decide):
    ticket = issue(
        decide("let-down-hem", "hem", "both", "1/2"),
        decide("lengthen-head", "sleeve-head", "L", "1/4"),
        decide("deepen-scye", "scye", "L", "1/4"),
        decide("let-out", "side-seam", "both", "3/8"),
        decide("pass-up", "side-seam", "both", "1/4"),
    )

    # Balance before width, sleeve after scye, length last (trade-facts 4b: SG; PS; TH).
    assert [row[1] for row in lines_of(ticket.revisions.get())] == [
        "pass-up",
        "let-out",
        "deepen-scye",
        "lengthen-head",
        "let-down-hem",
    ]


def test_issue_ticket_writes_the_inlay_before_and_after(issue, decide):
    ticket = issue(
        decide("let-down-hem", "hem", "both", "1/2"),
        decide("let-out", "side-seam", "both", "3/8"),
        decide("move-buttons-out", "buttons", "", "1/4"),
        decide("take-in", "centre-back", "", "1/4"),
    )

    assert {row[1]: row[2:] for row in lines_of(ticket.revisions.get())} == {
        "let-out": (parse("1"), parse("5/8")),
        "take-in": (parse("3/4"), parse("1")),
        "move-buttons-out": (None, None),
        "let-down-hem": (parse("1 1/2"), parse("1")),
    }


def test_issue_ticket_counts_a_seam_named_twice(issue, decide):
    ticket = issue(
        decide("let-out-shoulder-end", "shoulder-seam", "L", "1/4"),
        decide("let-down-shoulder", "shoulder-seam", "both", "3/8"),
    )

    assert [row[1:] for row in lines_of(ticket.revisions.get())] == [
        ("let-down-shoulder", parse("3/4"), parse("3/8")),
        ("let-out-shoulder-end", parse("3/8"), parse("1/8")),
    ]


def test_issue_ticket_keeps_an_inlay_below_nothing(issue, decide):
    ticket = issue(decide("let-out", "side-seam", "both", "1 1/4"))

    assert lines_of(ticket.revisions.get()) == [
        (1, "let-out", parse("1"), parse("-1/4", signed=True))
    ]


def test_issue_ticket_twice_by_one_form_is_one_ticket(decide, coat, fitter, tomorrow):
    once = {
        "form_id": uuid.uuid4(),
        "garment": coat,
        "alterations": [decide("let-out", "side-seam", "both", "3/8")],
        "due_on": tomorrow,
        "note": "",
        "by": fitter,
    }

    assert issue_ticket(**once) == issue_ticket(**once)
    assert (Ticket.objects.count(), TicketLine.objects.count()) == (1, 1)


def test_issue_ticket_refuses_no_lines(issue):
    with pytest.raises(ValidationError) as refusal:
        issue()

    assert refusal.value.message_dict == {"alterations": ["Choose at least one line."]}
    assert not Ticket.objects.exists()


def test_issue_ticket_refuses_a_line_of_another_garment(issue, coat):
    with pytest.raises(ValidationError) as refusal:
        issue(AlterationFactory())

    assert refusal.value.message_dict == {
        "alterations": [f"A line is of another garment than {coat.number}."]
    }


def test_issue_ticket_refuses_a_line_on_another_ticket(issue, decide):
    line = decide("let-out", "side-seam", "both", "3/8")
    issue(line)

    with pytest.raises(ValidationError) as refusal:
        issue(line)

    assert refusal.value.message_dict == {
        "alterations": ["A line was struck out or is on another ticket: look again."]
    }


def test_issue_ticket_refuses_a_line_struck_out(issue, decide, fitter):
    line = decide("let-out", "side-seam", "both", "3/8")
    strike_alteration(entry_id=uuid.uuid4(), alteration=line, by=fitter)

    with pytest.raises(ValidationError, match="struck out"):
        issue(line)


def test_issue_ticket_refuses_a_day_past(issue, decide):
    yesterday = timezone.localdate() - datetime.timedelta(days=1)

    with pytest.raises(ValidationError) as refusal:
        issue(decide("let-out", "side-seam", "both", "3/8"), due_on=yesterday)

    assert refusal.value.message_dict == {"due_on": ["That day is past: choose today or later."]}


def test_issue_ticket_refuses_a_garment_delivered(issue, decide, make_garment):
    gone = make_garment(stage="delivered")

    with pytest.raises(ValidationError) as refusal:
        issue(decide("let-out", "side-seam", "both", "3/8", garment=gone), garment=gone)

    assert refusal.value.message_dict == {
        "garment": [f"{gone.number} is delivered: take it back first."]
    }


def test_open_alterations_leave_out_ticketed_and_struck(issue, decide, coat, fitter):
    issue(decide("let-out", "side-seam", "both", "3/8"))
    struck = decide("take-in", "centre-back", "", "1/4")
    strike_alteration(entry_id=uuid.uuid4(), alteration=struck, by=fitter)
    left = decide("let-down-hem", "hem", "both", "1/2")
    AlterationFactory()

    assert list(open_alterations(coat)) == [left]


def test_revise_ticket_replaces_the_revision_before(revision, fitter):
    kept = [revision.lines.last().alteration]

    new = revise(revision.ticket, kept, fitter, note="As pinned")

    assert (new.revision, new.strikes, new.reason, new.note) == (
        2,
        revision,
        "The hem stays",
        "As pinned",
    )
    assert list(TicketRevision.objects.standing()) == [new]


def test_revise_ticket_sets_dropped_lines_free(revision, coat, fitter):
    hem = revision.lines.get(position=2).alteration
    side_seams = revision.lines.get(position=1).alteration

    revise(revision.ticket, [side_seams], fitter)

    assert list(open_alterations(coat)) == [hem]


def test_revise_ticket_twice_by_one_form_is_one_revision(revision, fitter):
    lines, entry_id = [revision.lines.first().alteration], uuid.uuid4()

    first = revise(revision.ticket, lines, fitter, entry_id=entry_id)

    assert revise(revision.ticket, lines, fitter, entry_id=entry_id) == first
    assert revision.ticket.revisions.count() == 2


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"reason": " "}, "reason", "Say why it is changed: the workroom asks first."),
        ({"due_on": PAST}, "due_on", "That day is past: choose today or later."),
        ({"alterations": []}, "alterations", "Choose at least one line."),
    ],
)
def test_revise_ticket_refuses_beside_the_field(revision, fitter, changed, field, said):
    values = {"alterations": [revision.lines.first().alteration]} | changed

    with pytest.raises(ValidationError) as refusal:
        revise(revision.ticket, by=fitter, **values)

    assert refusal.value.message_dict == {field: [said]}


def test_revise_ticket_tells_who_was_first_and_with_what(revision, fitter):
    lines = [revision.lines.first().alteration]

    with pytest.raises(ValidationError) as refusal:
        revise(revision.ticket, lines, fitter, replaces=7)

    assert refusal.value.message_dict["replaces"][0].startswith(
        f"Revision 1 was issued by {name_of(revision.by)} while you had this open: "
        f"due {revision.due_on:%-d %B}, 2 lines."
    )


def test_revise_ticket_refuses_one_that_is_done(revision, fitter, bench):
    answer_ticket(entry_id=uuid.uuid4(), revision=revision, kind="done", reason="", by=bench)

    with pytest.raises(ValidationError) as refusal:
        revise(revision.ticket, [revision.lines.first().alteration], fitter)

    assert refusal.value.message_dict == {
        "ticket": [f"{revision.ticket.number} is done: issue a new ticket."]
    }


def issue_at_once(coat, lines, by, numbers, failures):
    def issue(line):
        try:
            ticket = issue_ticket(
                form_id=uuid.uuid4(),
                garment=coat,
                alterations=[line],
                due_on=timezone.localdate(),
                note="",
                by=by,
            )
            numbers.append(ticket.number)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=issue, args=[line]) for line in lines]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_issue_ticket_by_eight_at_once(either_database):
    coat, by = GarmentFactory(), UserFactory()
    lines = AlterationFactory.create_batch(8, garment=coat, amount=Length.inches("1/8"))
    numbers, failures = [], []

    issue_at_once(coat, lines, by, numbers, failures)

    assert failures == []
    assert len(set(numbers)) == 8
