"""The call-out line on the fitting screen: heard, chosen, kept in one go, refused as a whole."""

import uuid

import pytest
from django.db import DatabaseError, transaction

from customers.lengths import Length
from fittings.callout import LONGEST
from fittings.models import Observation, Remark
from fittings.session import callout as shown
from fittings.session.services import keep_callout, strike_remark
from fittings.session.services.callout import Called

pytestmark = pytest.mark.django_db
LINE = "collar off 3/8, right shuolder low quarter, sleeves clean, likes it roomy"
CHIPS = {
    "chip-0": "collar:collar-stands-off:",
    "chip-1": "shoulder:shoulder-one-low:R",
    "chip-2": "sleeve::",
}
HEAR_QUERIES = 7


@pytest.fixture
def post(client, fitting, coat):
    def send(*, hx=True, **values):
        headers = {"HX-Request": "true"} if hx else {}
        data = {"entry_id": str(uuid.uuid4()), "do": "hear", "line": LINE} | values
        return client.post(f"/fitting/{fitting.pk}/{coat.number}/call-out/", data, headers=headers)

    return send


@pytest.fixture
def keep(post):
    def send(line=LINE, **values):
        return post(do="keep", line=line, heard=line, **values)

    return send


def kept():
    rows = Observation.objects.standing().order_by("zone", "side")
    return [(row.zone, row.fault, row.side, str(row.amount or "")) for row in rows]


def test_line_is_shown_back_and_nothing_kept(post):
    answer = post()

    words = [[o[1] for o in chip.options] for chip in answer.context["callout_form"].chips]
    assert words == [
        ["Collar: Stands off the neck, ⅜ in"],
        ["Shoulder: Side crunches, shoulder low, right, ¼ in"],
        ["Sleeve: clean"],
    ]
    assert (kept(), Remark.objects.count()) == ([], 0)


def test_slip_and_unread_words_are_pointed_at(post):
    form = post().context["callout_form"]

    assert form.chips[1].slips == ("shuolder → shoulder",)
    assert [(piece.text, why) for piece, why in form.unread] == [
        ("likes it roomy", "not understood")
    ]


def test_without_javascript_a_page_shows_the_chips(post):
    page = post(hx=False).content.decode()

    assert page.count('name="chip-') == 3
    assert 'value="likes it roomy"' in page


def test_chips_are_kept_with_the_note_in_one_request(keep):
    answer = keep(**CHIPS, note="likes it roomy")

    assert answer.status_code == 200
    assert kept() == [
        ("collar", "collar-stands-off", "", "3/8"),
        ("shoulder", "shoulder-one-low", "R", "1/4"),
        ("sleeve", "", "", ""),
    ]
    assert Remark.objects.get().text == "likes it roomy"


def test_chip_taken_out_is_not_kept(keep):
    keep(**{name: value for name, value in CHIPS.items() if name != "chip-1"})

    assert [row[0] for row in kept()] == ["collar", "sleeve"]


def test_same_tap_twice_keeps_everything_once(keep):
    sent = {"entry_id": str(uuid.uuid4()), "note": "likes it roomy", **CHIPS}
    keep(**sent)
    again = keep(**sent)

    assert (again.status_code, len(kept()), Remark.objects.count()) == (200, 3, 1)


def test_rest_clean_covers_every_zone_left(keep):
    keep("collar off 3/8, rest clean", **{"chip-0": CHIPS["chip-0"], "chip-1": "rest"})

    zones = kept()
    assert (len(zones), sum(not row[1] for row in zones)) == (14, 13)


def test_question_without_answer_is_refused_at_its_chip(keep):
    answer = keep("collar off 3/8, sleeve too long", **{"chip-0": CHIPS["chip-0"]})

    chips = answer.context["callout_form"].chips
    assert (answer.status_code, [chip.error for chip in chips]) == (422, ["", "Say which it is."])
    assert kept() == []


def test_question_answered_keeps_the_choice(keep):
    keep("sleeve too long 3/8", **{"chip-0": "sleeve:sleeve-too-long:L"})

    assert kept() == [("sleeve", "sleeve-too-long", "L", "3/8")]


def test_question_answered_none_keeps_only_the_note(keep):
    keep("sleeve too long", **{"chip-0": "none"}, note="left sleeve, ask again")

    assert (kept(), Remark.objects.get().text) == ([], "left sleeve, ask again")


def test_refusal_of_one_entry_keeps_none_of_them(keep, see):
    see(zone="chest", fault="chest-strains")
    line = "collar off 3/8, chest clean"
    answer = keep(line, **{"chip-0": CHIPS["chip-0"], "chip-1": "chest::"})

    form = answer.context["callout_form"]
    assert form.chips[1].error == "A fault stands here: strike it before calling it clean."
    assert (answer.status_code, form["line"].value(), len(kept())) == (422, line, 1)


def test_amount_beyond_reason_is_refused_at_its_chip(keep):
    answer = keep("collar off 9 inches", **{"chip-0": CHIPS["chip-0"]})

    assert answer.context["callout_form"].chips[0].error.startswith("At most 6 in")


def test_line_changed_after_hearing_is_heard_again(post):
    answer = post(do="keep", heard="collar off", line="collar off 3/8", **{"chip-0": "x"})

    assert answer.context["callout_form"].errors["line"] == [shown.CHANGED]
    assert (answer.status_code, kept()) == (422, [])


def test_value_the_line_does_not_say_is_refused(keep):
    answer = keep("collar off 3/8", **{"chip-0": "seat:seat-strains:"})

    assert answer.context["callout_form"].wrong == {"chip-0": "Choose again."}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("", "Write or dictate what the fitter says."),
        ("x" * (LONGEST + 1), "At most 2000 letters at once: keep a first part, then go on."),
    ],
)
def test_line_that_cannot_be_heard_is_refused_and_kept(post, line, said):
    answer = post(line=line)

    form = answer.context["callout_form"]
    assert (answer.status_code, form.errors["line"], form["line"].value()) == (422, [said], line)


def test_everything_taken_out_is_refused(keep):
    answer = keep("collar off 3/8")

    assert answer.context["callout_form"].errors["line"] == ["Nothing of it is left to keep."]


def test_decided_garment_takes_no_more_lines(keep, client, fitting, coat):
    client.post(
        f"/fitting/{fitting.pk}/{coat.number}/next-step/",
        {"entry_id": str(uuid.uuid4()), "step": "alter"},
    )
    answer = keep(**CHIPS)

    assert (answer.status_code, kept()) == (422, [])


def test_markup_in_a_line_is_shown_as_text(post):
    page = post(line="collar off <script>alert(1)</script>", hx=False).content.decode()

    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_note_is_shown_and_can_be_struck(keep, client, fitting, coat):
    keep(**CHIPS, note="likes it roomy")
    remark = Remark.objects.get()
    address = f"/fitting/{fitting.pk}/{coat.number}/notes/{remark.pk}/strike/"
    before = client.get(f"/fitting/{fitting.pk}/").context["remarks"]

    client.post(address, {"entry_id": str(uuid.uuid4())})

    after = client.get(f"/fitting/{fitting.pk}/").context["remarks"]
    assert (before, after) == ([remark], [])


def test_note_struck_twice_is_struck_once(fitting, coat, fitter):
    keep_callout(
        entry_id=uuid.uuid4(), fitting=fitting, garment=coat, called={}, note="x", by=fitter
    )
    remark = Remark.objects.get()
    first = strike_remark(entry_id=uuid.uuid4(), remark=remark, by=fitter)
    second = strike_remark(entry_id=uuid.uuid4(), remark=remark, by=fitter)

    assert (second, Remark.objects.count()) == (first, 2)


def test_note_cannot_be_written_over(fitting, coat, fitter):
    called = {0: Called("collar", "collar-stands-off", "", Length.inches(1))}
    keep_callout(
        entry_id=uuid.uuid4(), fitting=fitting, garment=coat, called=called, note="x", by=fitter
    )

    with pytest.raises(DatabaseError), transaction.atomic():
        Remark.objects.update(text="y")


@pytest.mark.parametrize("parts", [1, 3, 10])
def test_hearing_asks_a_fixed_number_of_questions(post, parts, django_assert_num_queries):
    line = ", ".join(["collar off 3/8", "seat tight an inch", "back clean"] * parts)
    post()

    with django_assert_num_queries(HEAR_QUERIES):
        post(line=line)
