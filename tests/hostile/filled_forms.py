"""Every form of a working house filled in as it should be; every address with something there.

A form is the name of its address, what the address says, and what is sent.
"""

import datetime
import uuid

from django.urls import reverse
from django.utils import timezone

from customers.models import House
from fittings.config.access import PAGES
from fittings.post.letters import letter_about
from fittings.session import looking
from garments.models import WEEKDAYS
from tests.hostile.working_house import a_list, picture

PASSWORD = "chalk-and-thread-7"  # the one that UserFactory gives
NEW_PASSWORD = "pad-stitch-4411"
PIN, NEW_PIN = "274915", "906142"
DAY = datetime.timedelta(days=1)


def entry(**values):
    return {"entry_id": str(uuid.uuid4()), **values}


def soon():
    return str(timezone.localdate() + 4 * DAY)


def filled_forms(house, visitor=None):
    me = visitor or house.here
    rooms = (
        people,
        customers,
        measures,
        garments,
        cuts,
        diary,
        waited,
        opened,
        travelled,
        seen,
        decided,
        workroom,
        learnt,
        catalogued,
        posted,
        subscribed,
        brought_in,
        promised,
        private,
    )
    return [form for room in rooms for form in room(house, me)]


def people(house, _):
    known = {"first_name": "Odile", "last_name": "Fennimore", "roles": ["fitter"]}
    new = {"new_password1": NEW_PASSWORD, "new_password2": NEW_PASSWORD}
    return [
        ("contrast", {}, {"contrast": "high", "next": "/"}),
        ("accounts:sign_in", {}, {"username": "hester", "password": PASSWORD, "next": "/"}),
        ("accounts:sign_out", {}, {"next": "/"}),
        ("accounts:password_change", {}, {"old_password": PASSWORD, **new}),
        ("accounts:person_create", {}, known | {"username": "odile", "password": NEW_PASSWORD}),
        (
            "accounts:person_update",
            {"pk": house.fitter.pk},
            known | {"active": "on", "password": NEW_PASSWORD},
        ),
        *keys(house),
    ]


def keys(house):
    """What people get in by. The second step lets on who is in already."""
    pin = {"pin": NEW_PIN, "again": NEW_PIN, "password": PASSWORD}
    rules = {"idle_minutes": 60, "pin_idle_minutes": 9, "longest_hours": 8, "version": 1}
    return [
        ("accounts:second_step", {}, {"code": "000000", "next": "/"}),
        (
            "accounts:hand_change",
            {},
            {"hand-person": house.fitter.pk, "hand-pin": PIN, "next": "/"},
        ),
        ("accounts:prove", {}, {"password": PASSWORD, "next": "/"}),
        ("accounts:pin_update", {}, pin),
        ("accounts:factor_page", {}, {"do": "begin"}),
        ("accounts:factor_remove", {"pk": house.fitter.pk}, {}),
        ("accounts:tablet_create", {}, {"name": "Cutting table"}),
        ("accounts:tablet_end", {"pk": house.tablet.pk}, {}),
        ("accounts:rules_update", {}, rules),
    ]


def customers(_, me):
    where = {"number": me.customer.number}
    person = {
        "title": "Dr",
        "given_name": "Ignace",
        "family_name": "Holloway",
        "phone": "01632 960 777",
        "email": "ignace@example.org",
        "unit": "cm",
        "notes": "Left shoulder low",
    }
    house = {"name": "Weir", "address": "1 Mill Lane", "unit": "in", "version": 1}
    agreed = {"kind": "publicity", "given": "no", "given_on": "2026-01-05", "wording": "May we?"}
    return [
        ("customers:house_update", {}, house | {"opens": "09:00", "closes": "18:00"}),
        (
            "customers:customer_create",
            {},
            person | {"form_id": str(uuid.uuid4()), "different": "on"},
        ),
        ("customers:customer_update", where, person | {"version": 1}),
        ("customers:consent_create", where, entry(**agreed)),
    ]


def measures(house, me):
    where = {"number": me.customer.number}
    typed = {
        "taken_on": "2026-01-05",
        "taken_by": house.owner.pk,
        "unit": "in",
        "note": "Stands straight",
        "garments": ["coat"],
        "listed": "1",
        "without": "1",
        "twice": "1",
        "right": "x",
        "chest": "38 1/2",
        "chest-again": "38 1/2",
        "wrist-L": "6½",
    }
    return [
        ("customers:set_create", where, entry(**typed)),
        ("customers:set_correct", where | {"pk": me.sets[1].pk}, entry(**typed)),
        ("customers:reading_confirm", where | {"pk": me.doubted.pk}, entry(reading="chest:")),
    ]


def garments(house, me):
    coat, ordered = {"number": me.coat.number}, {"number": me.ordered.number}
    cut = {"cut_version": me.coat.cut_version_id, "cutter": house.fitter.pk}
    order = cut | {"promised_on": soon(), "notes": "Ticket pocket"}
    carried = {"change": "let-out.side-seam.both", "answer": "carry", "amount": "1/4"}
    cloth = {"cloth": "Grey worsted", "cloth_pattern": "plain", "cloth_length": "3.5 m"}
    cloth |= {"cloth_width": "150 cm", "cloth_repeat": "1 1/2"}
    hasty, uncut = {"number": me.hasty.number}, {"number": me.uncut.number}
    waistcoat = {"number": me.waistcoat.number}
    taken_on = {"measurement_set": str(me.sets[1].pk), "told": me.open_line("promise")}
    wish = {"wish": "back-length:less", "amount": "1/2"}
    measured = {"where": "body", "sleeve-L": "24 1/2", "cuff": "29 cm", "next": "/"}
    out = "raise-hem.hem.both"
    planned = {"lines": out, f"amount-{out}": "1/8", "do": "take", "asked": "on", "next": "/"}
    planned |= {"stopped": "checks", "cloth_left": "1 in"}
    inlays = {"side-seam-L": "1/2", "initial-side-seam-L": "1", "centre-back": "3/4"}
    return [
        (
            "garments:garment_create",
            {"number": me.customer.number},
            entry(**order, **cloth, kind="coat"),
        ),
        ("garments:garment_update", ordered, entry(**order, **cloth, version=1)),
        ("garments:garment_cut", uncut, entry(measurement_set=str(me.sets[1].pk))),
        ("garments:carry_page", ordered, entry(**carried)),
        ("garments:line_pass", hasty, entry(**taken_on, line="promise", reason="A wedding")),
        ("garments:line_strike", hasty | {"pk": me.passed.pk}, entry()),
        ("garments:stage_create", waistcoat, entry(stage="basted", reason="In a hurry")),
        ("garments:stage_strike", coat, entry()),
        ("garments:inlay_update", coat, entry(**inlays)),
        ("garments:inlay_spoil", coat, entry(place="side-seam-L", reason="snipped", amount="1/8")),
        ("garments:wish_create", coat, entry(**wish, accepted_by=house.fitter.pk, note="Likes it")),
        ("garments:wish_strike", coat | {"pk": me.wish.pk}, entry()),
        ("garments:finished_create", coat, entry(**measured)),
        ("garments:plan_page", coat, entry(**planned)),
        ("garments:remake_create", coat, entry(**order, what="whole", reason="Too small")),
    ]


def cuts(_, me):
    cut = {"pk": me.coat.cut_version.cut_id}
    chest = {"ease": "5 1/2", "least": "4", "most": "8", "tolerance": "1/2", "source": "No source"}
    drape = {"value": "3/4", "source": "No source"}
    rows = {"chest": chest, "drape-front": drape, "drape-back": drape}
    figures = {f"{row}-{name}": text for row, of in rows.items() for name, text in of.items()}
    lark = {"name": "Lark", "kind": "coat", "note": "Soft shoulder", "start": "soft-shoulder"}
    return [
        ("garments:cut_create", {}, lark),
        ("garments:cut_version_create", cut, {"version": 2, "note": "More drape"} | figures),
        ("garments:cut_retire", cut, {"retired": "yes"}),
    ]


def diary(house, me):
    where = {"pk": me.bookings[0].pk}
    when = {"date": soon(), "time": "10:00", "length": "30", "take": f"{soon()}T11:00"}
    place = when | {"fitter": house.owner.pk, "room": house.rooms[1].pk}
    fitted = {"customer": me.customer.number, "garments": [me.coat.pk], "note": "May be late"}
    return [
        ("diary:booking_create", {}, entry(**place, **fitted, purpose="first-fitting")),
        ("diary:booking_move", where, entry(**place, version=1, reason="Rain")),
        ("diary:booking_cancel", where, entry(version=1, reason="Rain")),
        ("diary:booking_mark", where, entry(what="arrived", back="today")),
        ("diary:call_again", {"pk": me.missed.pk}, entry(on=soon())),
        ("diary:called", {"pk": me.missed.pk}, entry(call=str(me.call.pk))),
        ("diary:room_create", {}, {"name": "Long room"}),
        ("diary:room_retire", {"pk": house.rooms[1].pk}, {"name": "x"}),
    ]


def opened(house, me):
    here = me is house.here
    far = timezone.localdate() + (60 if here else 90) * DAY
    days = {"first": str(far), "last": str(far + DAY)}
    week = {f"opens_{number}": "08:00" for number in range(7)}
    week |= {f"closes_{number}": "19:00" if here else "19:30" for number in range(7)}
    return [
        ("opendays:week_update", {}, entry(**week)),
        ("opendays:closure_create", {}, entry(**days, reason="Stocktaking", repeats="")),
        ("opendays:closure_end", {"pk": me.closure.pk}, entry()),
        ("opendays:absence_create", {}, entry(**days, person=house.fitter.pk, kind="away")),
        ("opendays:absence_end", {"pk": me.absence.pk}, entry()),
        ("opendays:holidays_update", {}, entry(country="GB", subdivision="ENG" if here else "SCT")),
        (
            "opendays:holiday_work",
            {},
            entry(name="Good Friday", open_anyway="on" if here else ""),
        ),
    ]


def travelled(house, me):
    far = timezone.localdate() + (40 if me is house.here else 47) * DAY
    where = {"town": "Harwold", "place": "The Bell", "address": "2 Quay Street"}
    days = {"first": str(far), "last": str(far), "repeats": "weekly", "every": 26}
    when = days | {"until": "", "opens": "10:00", "closes": "17:00", "there": 60, "back": 60}
    return [
        ("travelling:trip_create", {}, entry(**where, **when, fitters=[house.fitter.pk])),
        (
            "travelling:trip_call_off",
            {"pk": me.trip.pk},
            entry(first=str(me.trip.first), onwards="", reason="Ill"),
        ),
    ]


def waited(house, me):
    freed = {"date": soon(), "time": "15:00", "fitter": house.owner.pk, "room": house.rooms[1].pk}
    when = {
        "first": soon(),
        "last": soon(),
        "since": "10:00",
        "until": "16:00",
        "note": "Rings back",
    }
    who = {"customer": me.customer.number, "booking": str(me.bookings[0].pk)}
    what = {"purpose": "first-fitting", "garments": [me.coat.pk], "fitter": house.owner.pk}
    return [
        ("waiting:waiting_create", {}, entry(**who, **what, **when)),
        ("waiting:waiting_withdraw", {"pk": me.waits[0].pk}, entry()),
        ("waiting:waiting_give", {"pk": me.waits[1].pk}, entry(**freed)),
    ]


def seen(_, me):
    coat = {"pk": me.fitting.pk, "number": me.coat.number}
    walk_in = {"customer": me.customer.number, "purpose": "first-fitting"}
    fault = {"seen": "chest-strains:", "amount": "typed", "other": "3/8", "note": "Arms down"}
    said = "sleeve too long 3/8, rest clean"
    called = {"do": "keep", "line": said, "heard": said, "note": "Likes it roomy"}
    called |= {"chip-0": "sleeve:sleeve-too-long:L", "chip-1": "rest"}
    photograph = {"photograph": picture(), "caption": "Back"}
    pinned = {"observation": me.seen.pk, "spot.x": 4, "spot.y": 4}
    return [
        ("session:fitting_start", {}, entry(**walk_in, garments=[me.coat.number])),
        ("session:fitting_start", {}, {"booking": str(me.bookings[1].pk)}),
        ("session:observation_create", coat, entry(**fault)),
        ("session:observation_create", coat, entry(rest="1")),
        ("session:observation_create", coat, entry(clean_zone="waist")),
        ("session:observation_strike", coat | {"entry": me.seen.pk}, entry()),
        ("session:callout_create", coat, entry(**called)),
        ("session:remark_strike", coat | {"entry": me.remark.pk}, entry()),
        ("session:photograph_create", coat, entry(**photograph)),
        ("session:pin_page", {"pk": me.photograph.pk}, entry(**pinned)),
        ("session:pin_strike", {"pk": me.pin.pk}, entry()),
        ("session:photograph_strike", {"pk": me.photograph.pk}, entry()),
        (
            "session:photographs_delete",
            {"number": me.customer.number},
            entry(photographs=[str(me.unwanted.pk)], reason="Asked to", sure="on"),
        ),
    ]


def decided(_, me):
    coat = {"pk": me.fitting.pk, "number": me.coat.number}
    waistcoat = {"pk": me.fitting.pk, "number": me.waistcoat.number, "entry": me.decision.pk}
    offers = looking.usual("coat", me.fitting.purpose, me.seen.fault, "", me.seen.amount)
    usual = next(offer.key for offer in offers if offer.amount or not offer.asks_amount)
    work = {"operation": "let-out", "seam": "side-seam", "side": "both", "amount": "1/4"}
    answers = {"observation": str(me.seen.pk)}
    verdict = {"alteration": str(me.judged.pk), "verdict": "cured"}
    return [
        ("session:alteration_create", coat, entry(**work, **answers, why="Tight")),
        ("session:alteration_create", coat, entry(**answers, remedy=usual)),
        ("session:alteration_strike", coat | {"entry": me.taken.pk}, entry()),
        ("session:cause_create", coat, entry(cause="hips-tight")),
        ("session:cause_create", coat, entry(words="The wallet in his pocket")),
        ("session:cause_strike", coat | {"entry": me.cause.pk}, entry()),
        ("session:spot_answer_create", coat, entry(answer="open-side-seam:yes")),
        ("session:spot_answer_strike", coat | {"entry": me.answer.pk}, entry()),
        ("session:judgement_create", coat, entry(**verdict)),
        ("session:decision_create", coat, entry(step="alter", note="Soon")),
        ("session:decision_strike", waistcoat, entry()),
    ]


def workroom(house, me):
    ticket = {"number": me.ticket.number}
    lines = {"alterations": [str(me.taken.pk)], "due_on": soon(), "note": "Mind the stripe"}
    asked = {"kind": "asks", "reason": "Which side?", "back": "list"}
    week = dict.fromkeys(WEEKDAYS, "22.5" if me is house.here else "30")
    return [
        ("workroom:bench_update", {}, entry(**week)),
        ("workroom:ticket_create", {"number": me.coat.number}, entry(**lines, next="/")),
        ("workroom:ticket_revise", ticket, entry(**lines, reason="As pinned", replaces=1)),
        ("workroom:answer_create", ticket | {"revision": 1}, entry(**asked)),
        ("workroom:ticket_reply", ticket | {"revision": 1}, entry(reason="To the mark", next="/")),
    ]


def learnt(_, me):
    about = me.lesson | {"note": "An odd cloth"}
    return [
        ("review:letter_send", {}, entry(month="2026-01")),
        ("lessons:lessons_renew", {}, {"next": "/"}),
        ("lessons:figure_omit", {}, entry(**about)),
        ("lessons:case_omit", {"pk": me.taught.pk}, entry(**about)),
        ("lessons:omission_strike", {"pk": me.omitted.pk}, entry(**me.lesson)),
    ]


def catalogued(_, me):
    fault = me.restated
    words = {"label": f"Seen so {fault.zone}", "sign": "It is so.", "look": "From the side."}
    words |= {"stages": ["baste", "finished"], "who": "Ann Weir", "why": "Seen often here"}
    shown = {"zone_key": fault.zone, "cause": "waist-tight", "strength": "rare"}
    here = {"table": "fault", "key": me.retirable.key}
    put_back = {"why": "It was right", "seen": str(me.restating.pk)}
    return [
        (
            "housebook:row_create",
            {"table": "fault", "kind": "coat"},
            entry(**words, **shown, tells="Pinch it.", sided="on", measure="how far"),
        ),
        ("housebook:row_update", here, entry(**words, sided="on", seen="")),
        ("housebook:row_retire", here, entry(why="Never seen", seen="", retired="yes")),
        ("housebook:row_restore", here | {"key": fault.key}, entry(**put_back)),
    ]


def posted(house, me):
    first = me.bookings[0]
    confirmation = letter_about("confirmation", first, House.get())
    ready = letter_about("ready", me.finished, House.get())
    mine = "we look forward" if me is house.here else "we wait"
    words = {"subject": "[purpose]", "body": f"Dear [customer], {mine}.", "short": "[day]"}
    rules = {"reminder_days": 3, "reminders": "alone", "feed_shows": "number", "version": 1}
    return [
        (
            "post:booking_write",
            {"pk": first.pk, "kind": "confirmation"},
            entry(way="mail", shown=confirmation.digest),
        ),
        (
            "post:ready_write",
            {"number": me.finished.number},
            entry(way="phone", shown=ready.digest),
        ),
        ("post:message_mark", {"pk": me.message.pk}, {"what": "again"}),
        ("post:wording_update", {"kind": "reminder"}, entry(**words, seen=0, do="keep")),
        ("post:rules_update", {}, rules),
    ]


def subscribed(house, me):
    whose = house.owner if me is house.here else house.fitter
    calendar = {"kind": "fitter", "pk": whose.pk}
    taken_back = {"kind": "room", "pk": house.rooms[0 if me is house.here else 1].pk}
    return [
        ("feeds:feed_renew", calendar, entry()),
        ("feeds:feed_revoke", taken_back, entry()),
    ]


def brought_in(house, me):
    upload, entry_of = {"pk": house.upload.pk}, house.brought[0 if me is house.here else 1]
    columns = {"means-0": "family_name", "means-1": "taken_on", "means-2": "measure:chest:"}
    open_questions = {"unit": "cm", "unit-2": "in", "taken_on": "2026-01-05"}
    return [
        ("bringing:import_list", {}, entry(file=a_list(me.customer.family_name))),
        (
            "bringing:upload_columns",
            upload,
            columns | open_questions | {"cutter": house.fitter.pk},
        ),
        ("bringing:upload_check", upload, {"next": "/"}),
        ("bringing:upload_choose", upload, {"row-2": "out"}),
        ("bringing:upload_write", upload, {"seen": house.upload.version}),
        ("bringing:upload_discard", upload, {"seen": house.upload.version}),
        ("bringing:import_take_back", {"pk": entry_of.pk}, entry()),
    ]


def promised(house, me):
    """Who makes and what it takes is the house's, not a customer's."""
    maker = {"name": "Corvin Thale", "craft": "finisher", "minutes": 400, "since": "2026-01-05"}
    here = me is house.here
    stage = {"kind": "coat", "stage": "baste" if here else "finish"}
    minutes = 30 if here else 40
    days = {"first": soon(), "last": soon()}
    other = {"name": "Idra Fenwold", "craft": "cutter", "minutes": 300, "since": "2026-01-05"}
    return [
        ("promising:maker_list", {}, maker),
        ("promising:maker_update", {"pk": house.maker.pk}, other | {"version": 1}),
        ("promising:stage_update", stage, entry(minutes=400, wait_days=2, reason="Counted")),
        ("promising:stage_strike", stage, entry()),
        ("promising:overtime_list", {}, entry(craft="finisher", minutes=minutes, **days)),
        ("promising:overtime_strike", {"pk": house.overtimes[0 if here else 1].pk}, entry()),
    ]


def private(house, me):
    """The rule is the house's; who is erased types their own number and nobody else's."""
    leaving = {"number": me.leaving.number}
    years = "7" if me is house.here else "8"
    erased = {"reason": "asked", "typed": me.leaving.number}
    return [
        ("privacy:rule_update", {}, entry(years=years, photograph_months="24", alone="on")),
        ("privacy:photographs_drop", {}, {}),
        ("privacy:customer_erase", leaving, entry(**erased)),
    ]


def standing_addresses(house, visitor=None):
    """Every address of the house by its name, each with something kept behind it."""
    me = visitor or house.here
    paper = {"number": me.ticket.number, "revision": 1}
    known = {name: where for name, where, _ in filled_forms(house, me)} | {
        "bringing:upload_detail": {"pk": house.upload.pk},
        "bringing:upload_progress": {"pk": house.upload.pk},
        "bringing:import_detail": {"pk": house.brought[0].pk},
        "customers:set_compare": {"number": me.customer.number},
        "customers:measure_history": {"number": me.customer.number},
        "customers:measure_history_pdf": {"number": me.customer.number},
        "customers:set_detail": {"number": me.customer.number, "pk": me.sets[0].pk},
        "folios:customer_folio": {"number": me.customer.number},
        "folios:garment_folio": {"number": me.coat.number},
        "garments:cutter_sheet": {"number": me.coat.number},
        "housebook:row_detail": {"table": "fault", "key": me.restated.key},
        "diary:booking_detail": {"pk": me.bookings[0].pk},
        "travelling:trip_detail": {"pk": me.trip.pk},
        "travelling:packing_pdf": {"pk": me.trip.pk},
        "privacy:customer_held": {"number": me.customer.number},
        "privacy:customer_export": {"number": me.customer.number},
        "promising:promise_detail": {"number": me.coat.number},
        "promising:what_if": {"number": me.coat.number},
        "feeds:feed": {"token": house.token},
        "post:message_detail": {"pk": me.message.pk},
        "session:fitting_ahead": {"pk": me.bookings[0].pk},
        "session:fitting_news": {"pk": me.fitting.pk, "number": me.coat.number},
        "session:fitting_detail": {"pk": me.fitting.pk},
        "session:photograph": {"pk": me.photograph.pk},
        "session:beside": {"pk": me.fitting.pk, "number": me.coat.number},
        "session:thumbnail": {"pk": me.photograph.pk},
        "workroom:ticket_detail": {"number": me.ticket.number},
        "workroom:label_pdf": paper,
        "workroom:ticket_pdf": paper,
        "workroom:ticket_scan": paper,
        "review:review_csv": {"table": "remakes"},
        "review:closer_page": {"table": "remakes"},
        "review:behind_page": {"table": "remakes"},
        "review:row_page": {"sheet": "faults"},
        "review:why_csv": {"sheet": "faults"},
        "review:letter_csv": {"sheet": "rates"},
        "review:sheet_csv": {"table": "remakes", "sheet": "months"},
    }
    return {name: reverse(name, kwargs=known.get(name, {})) for name in PAGES}
