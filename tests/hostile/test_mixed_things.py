"""Things of two customers, or of two garments of one, sent together: refused, and nothing kept."""

import pytest
from django.urls import reverse

from garments.models import WEEKDAYS
from tests.hostile.filled_forms import entry, filled_forms
from tests.hostile.hand import rows, send, undone

pytestmark = pytest.mark.django_db

# The only name there is: said otherwise, it is the whole form of another.
WHOLE = {
    ("customers:customer_update", "number"),
    ("customers:consent_create", "number"),
    ("customers:set_create", "number"),
    ("garments:garment_create", "number"),
    ("garments:garment_update", "number"),
    ("garments:carry_page", "number"),
    ("garments:stage_create", "number"),
    ("garments:stage_strike", "number"),
    ("garments:inlay_update", "number"),
    ("garments:inlay_spoil", "number"),
    ("garments:wish_create", "number"),
    ("garments:finished_create", "number"),
    ("garments:plan_page", "number"),
    ("garments:remake_create", "number"),
    ("garments:cut_version_create", "pk"),
    ("garments:cut_retire", "pk"),
    ("diary:booking_move", "pk"),
    ("diary:booking_cancel", "pk"),
    ("diary:booking_mark", "pk"),
    ("diary:call_again", "pk"),
    ("waiting:waiting_withdraw", "pk"),
    ("waiting:waiting_give", "pk"),
    # The owner's own things and the house's, nobody else's.
    ("opendays:closure_end", "pk"),
    ("opendays:absence_end", "pk"),
    ("post:message_mark", "pk"),
    ("post:wording_update", "body"),
    ("bringing:import_take_back", "pk"),
    ("feeds:feed_renew", "pk"),
    ("feeds:feed_revoke", "pk"),
    ("lessons:figure_omit", "cause"),
    ("lessons:case_omit", "pk"),
    ("lessons:omission_strike", "pk"),
    ("session:fitting_start", "booking"),
    ("session:photograph_strike", "pk"),
    ("session:pin_strike", "pk"),
    ("workroom:answer_create", "number"),
    ("workroom:ticket_reply", "number"),
    # Only where the owner came from and goes back to.
    ("lessons:case_omit", "cause"),
    ("lessons:omission_strike", "cause"),
    # The catalogue is the house's, not a customer's.
    ("housebook:row_retire", "key"),
    ("housebook:row_update", "key"),
    ("housebook:row_create", "label"),
    ("housebook:row_create", "zone_key"),
    ("housebook:row_update", "label"),
    # The benches are the house's, not a customer's.
    ("promising:overtime_list", "minutes"),
    ("promising:overtime_strike", "pk"),
    ("promising:stage_strike", "stage"),
    ("promising:stage_update", "stage"),
    # A cut is the house's, not a customer's.
    ("garments:garment_create", "cut_version"),
    ("garments:garment_update", "cut_version"),
    ("garments:remake_create", "cut_version"),
}
OPEN = {
    "years",
    "first",
    "last",
    "subdivision",
    "open_anyway",
    *(f"closes_{day}" for day in range(7)),
}
# Hours and days of the house, nobody's things.
OWN = {"entry_id", "form_id", "photograph", "file", *WEEKDAYS, *OPEN}


def is_refused(browser, name, where, values):
    with undone():
        before = rows()
        answer = send(browser, reverse(name, kwargs=where), values)
        return answer.status_code in {404, 409, 422} and rows() == before


def test_thing_of_another_customer_is_refused_wherever_it_is_named(browser, house):
    taken = set()
    theirs = filled_forms(house, house.there)
    for (name, where, values), (_, there, others) in zip(filled_forms(house), theirs, strict=True):
        for part in (part for part in where if where[part] != there[part]):
            if not is_refused(browser, name, where | {part: there[part]}, values):
                taken.add((name, part))
        for part in (part for part in values if values[part] != others[part] and part not in OWN):
            if not is_refused(browser, name, where, values | {part: others[part]}):
                taken.add((name, part))

    assert taken == WHOLE


def test_thing_of_another_garment_of_the_same_fitting_is_refused(browser, house):
    me = house.here
    waistcoat = {"pk": me.fitting.pk, "number": me.waistcoat.number}
    coat = {"pk": me.fitting.pk, "number": me.coat.number}
    work = {"operation": "take-in", "seam": "side-seam", "side": "both", "amount": "1/4"}
    mixed = [
        ("garments:wish_strike", {"number": me.ordered.number, "pk": me.wish.pk}, {}),
        ("session:observation_strike", waistcoat | {"entry": me.seen.pk}, {}),
        ("session:alteration_strike", waistcoat | {"entry": me.taken.pk}, {}),
        ("session:remark_strike", waistcoat | {"entry": me.remark.pk}, {}),
        ("session:cause_strike", waistcoat | {"entry": me.cause.pk}, {}),
        ("session:spot_answer_strike", waistcoat | {"entry": me.answer.pk}, {}),
        ("session:alteration_create", waistcoat, work | {"observation": me.seen.pk}),
        ("session:alteration_create", waistcoat, {"remedy": "x", "observation": me.seen.pk}),
        ("session:judgement_create", waistcoat, {"alteration": me.judged.pk, "verdict": "cured"}),
        ("session:decision_strike", coat | {"entry": me.decision.pk}, {}),
        ("session:observation_create", waistcoat, {"seen": "collar-stands-off:"}),
        ("session:observation_create", coat | {"number": me.ordered.number}, {"rest": "1"}),
    ]

    refused = [is_refused(browser, name, where, entry(**sent)) for name, where, sent in mixed]

    assert refused == [True] * len(mixed)


def test_ticket_takes_no_line_of_another_garment_of_the_customer(browser, house):
    me = house.here
    lines = {"alterations": [str(me.taken.pk)], "due_on": "2099-01-01", "note": ""}

    answer = send(
        browser, reverse("workroom:ticket_create", args=[me.ordered.number]), entry(**lines)
    )

    assert (answer.status_code, "alterations" in answer.context["form"].errors) == (422, True)
    assert me.ordered.tickets.count() == 0
