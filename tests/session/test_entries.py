"""The fitter's taps as requests: with JavaScript, without it, sent twice, and sent in bad faith."""

import datetime
import re
import uuid

import pytest
from django.utils import timezone

from customers.lengths import Length
from fittings.models import Decision, Judgement, Observation
from fittings.session.screen import workday_after
from garments.models import Alteration, Ticket
from tests.factories import (
    AlterationFactory,
    FittingFactory,
    ObservationFactory,
    TicketFactory,
    TicketRevisionFactory,
)
from tests.session.conftest import garment_of

pytestmark = pytest.mark.django_db

SCRIPT = "<script>alert(1)</script>"


@pytest.fixture
def address(fitting, coat):
    return f"/fitting/{fitting.pk}/{coat.number}"


@pytest.fixture
def post(client, address):
    """Post to one of the garment's addresses; ``tap=True`` as the page's own script does."""

    def send(path, *, tap=False, **values):
        headers = {"HX-Request": "true"} if tap else {}
        values = {"entry_id": str(uuid.uuid4())} | values
        return client.post(f"{address}/{path}/", values, headers=headers)

    return send


@pytest.fixture
def touch(post):
    """Touch a zone; the usual touch is a fault of the collar, three eighths."""

    def send(*, tap=False, **values):
        usual = {"seen": "collar-stands-off:", "amount": "3/8 in"}
        return post("seen", tap=tap, **(usual | values))

    return send


def rows(answer):
    """The ids of the pieces an answer puts in place."""
    return re.findall(r'id="([\w-]+)"[^>]*hx-swap-oob="true"', answer.content.decode())


def test_fault_and_amount_is_one_request(touch):
    touch(tap=True, seen="collar-stands-off:", amount="3/8 in")

    seen = Observation.objects.get()
    assert (seen.zone, seen.fault, seen.amount) == (
        "collar",
        "collar-stands-off",
        Length.inches("3/8"),
    )


def test_side_comes_with_the_fault(touch):
    touch(seen="shoulder-one-low:both", amount="1/4 in")

    assert Observation.objects.get().side == "both"


def test_clean_is_one_tap(touch):
    touch(tap=True, clean_zone="collar", seen="", amount="")

    seen = Observation.objects.get()
    assert (seen.zone, seen.fault) == ("collar", "")


@pytest.mark.parametrize(
    ("values", "amount"),
    [
        ({"amount": "none"}, None),
        ({"amount": "typed", "other": "7/16"}, Length.inches("0.4375")),
        ({"amount": "typed", "other": "1,2 cm"}, Length.of_cm("1.2")),
    ],
)
def test_other_amounts_are_taken(touch, values, amount):
    touch(**values)

    assert Observation.objects.get().amount == amount


def test_without_javascript_the_page_comes_again(touch, fitting, coat):
    answer = touch()

    assert (answer.status_code, answer.url) == (
        302,
        f"/fitting/{fitting.pk}/?garment={coat.number}#zone-collar",
    )


def test_tap_is_answered_with_what_changed(touch):
    answer = touch(tap=True)

    assert (answer.status_code, rows(answer)) == (200, ["last-word", "zones", "seen", "behind"])


def test_tap_sent_twice_is_kept_once(touch):
    entry_id = str(uuid.uuid4())

    first, second = touch(tap=True, entry_id=entry_id), touch(tap=True, entry_id=entry_id)

    assert (first.status_code, second.status_code) == (200, 200)
    assert Observation.objects.count() == 1


BAD_TOUCHES = [
    ({"seen": ""}, "seen", "Touch what you see first, then the amount."),
    ({"seen": "moon:"}, "seen", "There is no such fault."),
    ({"seen": f"{SCRIPT}:"}, "seen", "There is no such fault."),
    ({"seen": "trouser-moon:"}, "seen", "There is no such fault."),
    ({"seen": "collar-stands-off:L"}, "seen", "There is no left or right here."),
    ({"clean_zone": "moon"}, "__all__", "There is no such zone on a coat."),
    ({"clean_zone": "fork"}, "__all__", "There is no such zone on a coat."),
    ({"amount": "38 9/8"}, "other", None),
    ({"amount": "typed", "other": ""}, "other", "Write the amount, or touch one above."),
    ({"amount": "typed", "other": "much"}, "other", None),
    ({"amount": "typed", "other": "-1/4"}, "other", None),
    ({"amount": "typed", "other": "60"}, "amount", "At most 6 in: look at the amount again."),
    ({"amount": "typed", "other": SCRIPT}, "other", None),
    ({"note": "x" * 301}, "note", "Ensure this value has at most 300 characters (it has 301)."),
    ({"seen": "x" * 1_000_000}, "seen", None),
    ({"entry_id": "no uuid"}, "entry_id", "Enter a valid UUID."),
    ({"entry_id": ""}, "entry_id", "This field is required."),
]


@pytest.mark.parametrize("tap", [True, False])
@pytest.mark.parametrize(("values", "field", "message"), BAD_TOUCHES)
def test_bad_touch_is_refused_beside_its_field(touch, values, field, message, tap):
    answer = touch(tap=tap, **values)

    errors = answer.context["form"].errors[field]
    assert answer.status_code == 422
    assert message is None or errors == [message]
    assert Observation.objects.count() == 0


def test_refused_touch_keeps_what_was_typed(touch):
    answer = touch(amount="typed", other="much", note="He looked down")

    page = answer.content.decode()
    assert 'value="much"' in page
    assert 'value="He looked down"' in page
    assert re.search(r'value="collar-stands-off:"\s+checked', page)


def test_refused_tap_answers_beside_each_field(touch):
    answer = touch(tap=True, amount="typed", other="much")

    assert rows(answer) == [
        "seen-error",
        "other-error",
        "note-error",
        "last-word",
    ]


def test_hostile_note_is_shown_as_text(touch, client, fitting):
    touch(note=SCRIPT)

    assert SCRIPT not in client.get(f"/fitting/{fitting.pk}/").content.decode()


def test_rest_is_clean_with_one_tap(post):
    post("seen", tap=True, rest="1")

    assert Observation.objects.filter(fault="").count() == 14


def test_struck_entry_leaves_the_list(see, post):
    seen = see()

    answer = post(f"seen/{seen.pk}/strike", tap=True)

    assert answer.context["counts"].faults == 0
    assert Observation.objects.filter(strikes=seen).count() == 1


def test_entry_of_another_session_is_not_struck(post, coat, fitter):
    other = ObservationFactory(
        fitting=FittingFactory(garments=[coat]), garment=coat, by=fitter, fault="x"
    )

    assert post(f"seen/{other.pk}/strike").status_code == 404


def test_garment_outside_the_session_is_not_found(client, fitting, customer, fitter):
    other = garment_of(customer, fitter)

    answer = client.post(f"/fitting/{fitting.pk}/{other.number}/seen/", {"zone": "collar"})

    assert answer.status_code == 404


def test_usual_alteration_is_taken_with_one_tap(see, post):
    seen = see(amount="3/8")
    key = "back-balance-short:pass-up:side-seam"

    post("alterations", tap=True, observation=seen.pk, remedy=key)

    taken = Alteration.objects.get()
    assert (taken.operation, taken.side, taken.amount, taken.cause, taken.why) == (
        "pass-up",
        "both",
        Length.inches("3/8"),
        "back-balance-short",
        "Stands off the neck",
    )
    assert list(seen.alterations.all()) == [taken]


def test_usual_alteration_tapped_twice_is_taken_once(see, post):
    seen = see(amount="3/8")
    for _ in range(2):
        post(
            "alterations",
            tap=True,
            observation=seen.pk,
            remedy="back-balance-short:pass-up:side-seam",
        )

    assert Alteration.objects.count() == 1


def test_amount_key_fills_what_was_not_measured(see, post):
    seen = see()

    post(
        "alterations",
        observation=seen.pk,
        remedy="back-balance-short:pass-up:side-seam@1/4 in",
    )

    assert Alteration.objects.get().amount == Length.inches("0.25")


@pytest.mark.parametrize(
    ("remedy", "message"),
    [
        ("moon:pass-up:side-seam", "That is not one of the usual alterations."),
        (SCRIPT, "That is not one of the usual alterations."),
        ("back-balance-short:pass-up:side-seam", "Say how much."),
        ("back-balance-short:pass-up:side-seam@much", None),
        ("x" * 1000, None),
    ],
)
@pytest.mark.parametrize("tap", [True, False])
def test_bad_usual_alteration_is_refused(see, post, remedy, message, tap):
    seen = see()

    answer = post("alterations", tap=tap, observation=seen.pk, remedy=remedy)

    sentences = [text for errors in answer.context["form"].errors.values() for text in errors]
    assert answer.status_code == 422
    assert message is None or sentences == [message]
    assert Alteration.objects.count() == 0


def test_alteration_for_another_sessions_fault_is_not_found(post, coat, fitter):
    other = ObservationFactory(
        fitting=FittingFactory(garments=[coat]), garment=coat, by=fitter, fault="collar-stands-off"
    )

    answer = post("alterations", observation=other.pk, remedy="a:b:c")

    assert answer.status_code == 404


OTHER = {"operation": "let-out", "seam": "side-seam", "side": "both", "amount": "1/4"}


def test_other_alteration_is_taken(post, see):
    seen = see()

    answer = post("alterations", tap=True, **OTHER, why="He has grown", observation=seen.pk)

    assert Alteration.objects.get().why == "He has grown"
    assert (seen.alterations.count(), "alteration_form" in answer.context) == (1, False)


@pytest.mark.parametrize(
    ("values", "field", "message"),
    [
        ({"operation": ""}, "operation", "Say what is done."),
        ({"seam": ""}, "seam", "Say at which seam."),
        ({"operation": "burn"}, "operation", None),
        ({"seam": "fork"}, "seam", None),
        ({"seam": "collar-seam"}, "seam", "“Let out” is not done at the collar of a coat."),
        ({"side": ""}, "side", "Say left, right or both."),
        ({"side": "up"}, "side", None),
        ({"amount": ""}, "amount", "Say how much."),
        ({"amount": "0"}, "amount", "Say how much."),
        ({"amount": "-1/4"}, "amount", None),
        ({"amount": SCRIPT}, "amount", None),
        ({"why": "x" * 301}, "why", None),
        ({"observation": "no uuid"}, "observation", "Enter a valid UUID."),
    ],
)
@pytest.mark.parametrize("tap", [True, False])
def test_bad_alteration_is_refused_beside_its_field(post, values, field, message, tap):
    answer = post("alterations", tap=tap, **(OTHER | values))

    errors = answer.context["alteration_form"].errors[field]
    assert answer.status_code == 422
    assert message is None or errors == [message]
    assert Alteration.objects.count() == 0


def test_alteration_is_struck(post, coat, fitter):
    row = AlterationFactory(garment=coat, by=fitter)

    answer = post(f"alterations/{row.pk}/strike", tap=True)

    assert (answer.context["taken"], rows(answer)) == ([], ["last-word", "seen", "behind", "taken"])


@pytest.mark.parametrize(
    ("back", "to"),
    [
        ("/fitting/#next-step", "/fitting/#next-step"),
        ("https://elsewhere.example/", None),
        ("//elsewhere.example/", None),
        ("", None),
    ],
)
def test_ticket_leads_back_to_the_session_only(client, coat, fitter, back, to):
    row = AlterationFactory(garment=coat, by=fitter)
    values = {"alterations": [row.pk], "due_on": timezone.localdate(), "entry_id": uuid.uuid4()}

    answer = client.post(f"/workroom/new/{coat.number}/", values | {"next": back})

    assert answer.url == (to or Ticket.objects.get().get_absolute_url())


@pytest.mark.parametrize("verdict", ["cured", "better", "same", "worse"])
def test_verdict_is_one_tap(post, decided_before, verdict):
    answer = post("verdicts", tap=True, alteration=decided_before.pk, verdict=verdict)

    assert [line.verdict for line in answer.context["judging"]] == [verdict]


@pytest.mark.parametrize(
    ("values", "status"),
    [
        ({"verdict": "perfect"}, 422),
        ({"verdict": ""}, 422),
        ({"alteration": "no uuid"}, 422),
        ({"alteration": str(uuid.UUID(int=7))}, 404),
    ],
)
def test_bad_verdict_is_refused(post, decided_before, values, status):
    usual = {"alteration": decided_before.pk, "verdict": "cured"}

    assert post("verdicts", **(usual | values)).status_code == status
    assert Judgement.objects.count() == 0


def test_decision_closes_and_offers_next_booking(client, post, fitting, coat, fitter):
    post("next-step", step="alter")

    page = client.get(f"/fitting/{fitting.pk}/")
    assert page.context["next_booking"].split("?")[1] == (
        f"customer={fitting.customer.number}&garments={coat.number}"
        f"&fitter={fitter.pk}&purpose=forward-fitting"
    )


def test_next_booking_follows_the_ticket(client, post, fitting, coat, fitter):
    due_on = timezone.localdate() + datetime.timedelta(days=5)
    TicketRevisionFactory(ticket=TicketFactory(garment=coat), due_on=due_on, by=fitter)
    post("next-step", step="alter")

    address = client.get(f"/fitting/{fitting.pk}/").context["next_booking"]

    assert address.split("&date=")[1] == workday_after(due_on).isoformat()


@pytest.mark.parametrize("step", ["deliver", "remake"])
def test_last_step_offers_no_booking(client, post, fitting, step):
    post("next-step", step=step)

    assert client.get(f"/fitting/{fitting.pk}/").context["next_booking"] == ""


def test_remake_goes_on_to_its_reason(post, coat):
    answer = post("next-step", step="remake")

    assert answer.url == f"/garments/{coat.number}/remake/"


@pytest.mark.parametrize("step", ["", "burn", SCRIPT, "x" * 10_000])
def test_bad_step_is_refused(post, step):
    answer = post("next-step", step=step)

    assert answer.context["form"].errors["step"] == ["Say what is next."]
    assert (answer.status_code, Decision.objects.count()) == (422, 0)


def test_entry_after_decision_is_refused_in_words(post, touch):
    post("next-step", step="alter")

    answer = touch(tap=True)

    assert answer.context["form"].non_field_errors() == [
        "The next step is decided already: take it back to go on."
    ]


def test_decision_is_taken_back(client, post, fitting):
    post("next-step", step="alter")
    decision = Decision.objects.get()

    post(f"next-step/{decision.pk}/take-back")

    assert client.get(f"/fitting/{fitting.pk}/").context["decision"] is None


@pytest.mark.parametrize(
    "path",
    ["seen", "alterations", "verdicts", "next-step", "photographs"],
)
def test_entries_are_only_posted(client, address, path, fitter):
    assert client.get(f"{address}/{path}/").status_code == 405
