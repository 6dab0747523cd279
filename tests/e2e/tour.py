"""Where to look at each page of the house: addresses of real rows that have much to show.

What the demo house may lack at some hours of the day is written first, by the house's services: a
session under way, an alteration on no ticket yet, measures nothing was cut from.
"""

import datetime
import uuid
from collections.abc import Iterator
from dataclasses import replace
from urllib.parse import urlencode

from django.contrib.auth.models import User
from django.db.models import Count, Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils import timezone

from customers.lengths import Length, parse
from customers.models import Customer, MeasurementSet
from customers.services import save_measurement_set
from fittings.bringing.services import check_next_rows, keep_upload, map_columns
from fittings.bringing.writing import write_list
from fittings.catalogue import Change, Link
from fittings.catalogue.changes import key_of
from fittings.housebook.queries import house_catalogue
from fittings.housebook.services import add_to_catalogue, change_catalogue
from fittings.lists import Column
from fittings.models import Booking, Fitting, Lessons, Maker, Message, Photograph, Trip
from fittings.privacy.erasing import erase_customer
from fittings.privacy.keeping import keep_rule
from fittings.session.looking import usual
from fittings.session.services import record_observation, start_fitting, take_alteration
from garments.aiming.queries import aims_of
from garments.aiming.services import record_finished_measures, record_wish
from garments.models import (
    Alteration,
    Answer,
    Cut,
    CutVersion,
    Garment,
    GarmentWish,
    Remake,
    TicketRevision,
)
from garments.services import order_garment

PURPOSE = Booking.Purpose.FORWARD
SEEN = (
    ("collar", "collar-stands-off", "", "3/8"),
    ("shoulder", "shoulder-one-low", "R", "1/4"),
    ("sleeve", "sleeve-too-long", "both", "1/2"),
    ("chest", "", "", ""),
)
FULLEST = "-fullness"
ACCOUNT_PAGES = [
    "sign_in",
    "second_step",
    "hand_change",
    "prove",
    "own_keys",
    "pin_update",
    "tablet_create",
    "rules_update",
    "factor_page",
    "password_change",
    "password_changed",
    "person_list",
    "person_create",
]


def fullest(rows: QuerySet, *related: str):
    """The row that has most of what is named; an error when there is no row at all."""
    for name in related:
        rows = rows.filter(**{f"{name}__isnull": False})
    return (
        rows.annotate(fullness=Count(related[0], distinct=True)).order_by(FULLEST, "pk")[:1].get()
    )


def take_measures() -> MeasurementSet:
    """A regular customer measured anew today, and nothing cut from it yet."""
    customer = fullest(Customer.objects.all(), "measurement_sets", "garments")
    last = customer.measurement_sets.latest("at")
    return save_measurement_set(
        entry_id=uuid.uuid4(),
        customer=customer,
        taken_on=timezone.localdate(),
        taken_by=last.taken_by,
        unit=last.unit,
        measures=last.lengths(),
        by=last.taken_by,
    )


def measure_stouter(garment: Garment) -> None:
    """Its customer again, today, an inch more at the waist: the garment's page says so."""
    cut_from = garment.measurement_set
    measures = dict(cut_from.lengths())
    measures["waist", ""] += Length.inches(1)
    save_measurement_set(
        entry_id=uuid.uuid4(),
        customer=garment.customer,
        taken_on=timezone.localdate(),
        taken_by=cut_from.taken_by,
        unit=cut_from.unit,
        measures=measures,
        by=cut_from.taken_by,
    )


def order_a_coat(measures: MeasurementSet) -> Garment:
    """For who has just been measured; not cut yet."""
    return order_garment(
        form_id=uuid.uuid4(),
        customer=measures.customer,
        kind="coat",
        cut_version=CutVersion.objects.filter(cut__kind="coat", cut__retired=False).latest("pk"),
        cloth="Grey flannel, 13 oz",
        cloth_pattern="plain",
        cutter=measures.taken_by,
        promised_on=timezone.localdate() + datetime.timedelta(days=60),
        notes="",
        by=measures.taken_by,
    )


def begin_a_session() -> Fitting:
    """A coat that came back from the bench is tried on: some of it is read, one answer is taken."""
    waiting = Alteration.objects.standing().filter(garment=OuterRef("pk"), judgements=None)
    coats = Garment.objects.in_work().filter(Exists(waiting), kind="coat")
    coat = coats.select_related("customer").latest("serial")
    fitter = User.objects.filter(groups__name="fitter").earliest("pk")
    said = {"garment": coat, "by": fitter}
    said["fitting"] = start_fitting(
        fitting_id=uuid.uuid4(),
        customer=coat.customer,
        garments=[coat],
        fitter=fitter,
        purpose=PURPOSE,
        by=fitter,
    )
    for zone, fault, side, inches in SEEN:
        amount = Length.inches(inches) if inches else None
        what = {"zone": zone, "fault": fault, "side": side, "amount": amount}
        seen = record_observation(entry_id=uuid.uuid4(), **what, **said)
        if fault == "sleeve-too-long":
            first = usual("coat", PURPOSE, fault, side, amount)[0]
            work = {name: getattr(first, name) for name in ("operation", "seam", "side", "amount")}
            take_alteration(entry_id=uuid.uuid4(), observation=seen, **work, **said)
    look_closer(**said)
    return said["fitting"]


def look_closer(garment: Garment, by: User, fitting: Fitting) -> None:
    """The coat is measured, and two wishes are heard: one the house grants, one that waits."""
    on = {"garment": garment, "by": by}
    for point, inches in (("cuff", "1/4"), ("sleeve", "-1 1/2")):
        amount = parse(inches, signed=True)
        record_wish(entry_id=uuid.uuid4(), point=point, amount=amount, **on)
    targets = aims_of(garment, "in").targets
    off = {place: target.length + Length.inches("3/8") for place, target in targets.items()}
    record_finished_measures(entry_id=fitting.pk, where="body", values=off, **on)


def addresses() -> dict[str, list[str]]:
    """By the page's name: one address, or several where the page has several faces."""
    found: dict[str, list[str]] = {}
    for name, arguments, query in places(take_measures(), begin_a_session()):
        asked = f"?{urlencode(query, doseq=True)}" if query else ""
        found.setdefault(name, []).append(reverse(name, args=arguments) + asked)
    return found


def places(uncut: MeasurementSet, fitting: Fitting) -> Iterator[tuple[str, list, dict]]:
    yield from of_people()
    yield from of_customers(uncut)
    yield from of_garments(order_a_coat(uncut))
    yield from of_privacy()
    yield from of_lists()
    yield from of_the_diary()
    yield from of_the_promises()
    yield from of_the_post()
    yield from of_fittings(fitting)
    yield from of_the_workroom(fitting.garments.get())
    yield "review:review_page", [], {}
    yield "review:repeat_page", [], {}
    yield "review:definitions_page", [], {}
    yield "review:why_page", [], {}
    yield "review:letter_page", [], {}
    yield "review:closer_page", ["returns"], {}
    yield "review:behind_page", ["returns"], {}
    yield "review:row_page", ["faults"], {}
    yield from of_what_was_learnt()
    yield from of_the_catalogue()


def of_lists():
    """One with something wrong and someone known, and one brought in."""
    known = fullest(Customer.objects.all(), "garments")
    wrong = f"{known.given_name},{known.family_name},,38 1/2\nOdile,Quill,,38 9/8\nOdo,Quarrel,,97"
    read, brought = (a_list(rows) for rows in (wrong, "Ivo,Quayle,,40"))
    check_next_rows(upload=read)
    done = check_next_rows(upload=brought)
    entry = write_list(upload=done, seen=done.version, by=done.by)
    yield "bringing:import_list", [], {}
    yield "bringing:upload_columns", [read.pk], {}
    yield "bringing:upload_detail", [read.pk], {}
    yield "bringing:import_detail", [entry.pk], {}


def a_list(rows):
    owner = User.objects.filter(groups__name="owner").earliest("pk")
    content = f"given name,family name,telephone,chest\n{rows}\n".encode()
    upload = keep_upload(entry_id=uuid.uuid4(), name="old book.csv", content=content, by=owner)
    columns = [Column(**column) for column in upload.columns]
    answers = {"unit": "in", "taken_on": "2024-03-31"}
    return map_columns(upload=upload, columns=columns, answers=answers)


def of_what_was_learnt():
    """Beginning the session above made the lessons: this day's first."""
    for what in ("remedies", "links", "priors"):
        yield "lessons:lesson_list", [], {"what": what}
    figures = {len([*filter(None, row[:4])]): row[:4] for row in Lessons.objects.get().figures}
    for row in figures.values():
        names = zip(("cause", "fault", "operation", "kind"), row, strict=True)
        yield "lessons:figure_detail", [], {name: value for name, value in names if value}


def of_the_catalogue():
    """A fault of the house's own, one in its words, and one retired."""
    owner = User.objects.filter(groups__name="owner").earliest("pk")
    said = {"why": "Seen often at our second fittings.", "by": owner}
    shipped = house_catalogue().fault("collar-stands-off")
    retired = house_catalogue().fault("lapel-bows")
    source = "house: Merrin Quorrow"
    rope = replace(shipped, key="house-rope", zone="sleeve", label="Rope down the sleeve")
    link = Link(cause="sleeve-pitch-back", fault=rope.key, strength="often", source=source)
    add_to_catalogue(entry_id=uuid.uuid4(), rows=[replace(rope, source=source), link], **said)
    for row, out in (
        (replace(shipped, label="Gapes behind", source=source), False),
        (retired, True),
    ):
        change_catalogue(entry_id=uuid.uuid4(), change=Change(row, retired=out), seen=None, **said)
    yield "housebook:book_page", [], {}
    yield "housebook:book_page", [], {"kind": "trousers", "q": "qzx"}
    for key in (rope.key, shipped.key, retired.key):
        yield "housebook:row_detail", ["fault", key], {}
    for table, key in (
        ("fault", shipped.key),
        ("cause", "back-balance-short"),
        ("link", key_of(link)),
        ("remedy", key_of(house_catalogue().remedies[0])),
    ):
        yield "housebook:row_update", [table, key], {}
        yield "housebook:row_create", [table, "coat"], {}
    yield "housebook:row_detail", ["link", key_of(link)], {}


def of_people():
    for name in ACCOUNT_PAGES:
        yield f"accounts:{name}", [], {}
    yield "accounts:person_update", [Booking.objects.latest("starts_at").fitter_id], {}


def of_customers(uncut):
    regular = uncut.customer
    cut_from = regular.measurement_sets.exclude(garments=None).latest("at")
    yield "customers:house_update", [], {}
    yield "customers:customer_find", [], {}
    yield "customers:customer_find", [], {"q": regular.family_name[:2]}
    yield "customers:customer_find", [], {"q": "qzx"}
    yield "customers:customer_create", [], {}
    for name in ("customer_update", "consent_create", "set_create", "set_compare"):
        yield f"customers:{name}", [regular.number], {}
    yield "customers:measure_history", [regular.number], {}
    yield "customers:set_detail", [regular.number, cut_from.pk], {}
    yield "customers:set_correct", [regular.number, uncut.pk], {}
    yield "folios:customer_folio", [regular.number], {}


def of_privacy():
    """A regular customer with something open, one who may be erased, one who was."""
    owner = User.objects.filter(groups__name="owner").earliest("pk")
    regular = fullest(Customer.objects.all(), "garments", "bookings")
    idle = Customer.objects.exclude(garments__in=Garment.objects.in_work()).order_by("pk")
    keep_rule(entry_id=uuid.uuid4(), years=1, photograph_months=6, alone=False, by=owner)
    gone = idle.latest("pk")
    asked = {"typed": gone.number, "reason": "asked", "close_open": True}
    erase_customer(entry_id=uuid.uuid4(), customer=gone, by=owner, **asked)
    yield "privacy:keeping_page", [], {}
    yield "privacy:rule_update", [], {}
    yield "privacy:due_list", [], {}
    yield "privacy:looked_at", [], {}
    yield "privacy:looked_at", [], {"what": "changed", "customer": regular.number}
    for customer in (regular, gone):
        yield "privacy:customer_held", [customer.number], {}
    for customer in (regular, idle.exclude(pk=gone.pk).first() or regular):
        yield "privacy:customer_erase", [customer.number], {}
    yield "folios:customer_folio", [gone.number], {}


def of_garments(ordered):
    in_work = fullest(Garment.objects.in_work(), "alterations")
    coats = Garment.objects.in_work().filter(kind="coat", measurement_set__isnull=False)
    measure_stouter(stouter := coats.earliest("serial"))
    yield "garments:garment_create", [in_work.customer.number], {}
    yield "garments:garment_cut", [ordered.number], {}
    yield "garments:carry_page", [ordered.number], {}
    for name in ("garment_update", "stage_create", "inlay_update", "inlay_spoil", "remake_create"):
        yield f"garments:{name}", [in_work.number], {}
    measured = GarmentWish.objects.latest("at").garment
    for name in ("wish_create", "finished_create", "plan_page"):
        yield f"garments:{name}", [measured.number], {}
    for garment in (in_work, ordered, stouter, measured, Remake.objects.latest("at").replaces):
        yield "folios:garment_folio", [garment.number], {}
    yield "garments:cut_list", [], {}
    yield "garments:cut_create", [], {}
    yield "garments:cut_version_create", [fullest(Cut.objects.all(), "versions").pk], {}


def of_the_diary():
    today = timezone.localdate()
    booking = Booking.objects.filter(state="booked").earliest("starts_at")
    kept = Booking.objects.filter(state="kept").latest("starts_at")
    garment = fullest(Garment.objects.in_work(), "alterations")
    yield "diary:today", [], {}
    yield "diary:day", [], {}
    yield "diary:week", [], {}
    yield "diary:week", [], {"fitter": booking.fitter_id, "date": f"{today}"}
    yield "diary:booking_create", [], {}
    asked = {"customer": garment.customer.number, "garment": garment.number}
    yield "diary:booking_create", [], asked
    for row in (booking, kept):
        yield "diary:booking_detail", [row.pk], {}
    for name in ("booking_move", "booking_cancel"):
        yield f"diary:{name}", [booking.pk], {}
    moving = {"moving": f"{booking.pk}", "fitter": booking.fitter_id}
    yield "diary:week", [], moving | {"date": f"{timezone.localdate(booking.starts_at)}"}
    yield "diary:booking_move", [booking.pk], {"date": f"{today}", "time": "12:00"}
    yield "waiting:waiting_list", [], {}
    held = {"customer": booking.customer.number, "booking": f"{booking.pk}"}
    yield "waiting:waiting_create", [], held
    yield "diary:room_create", [], {}
    for name in ("calendar_page", "week_update", "closure_create", "absence_create"):
        yield f"opendays:{name}", [], {}
    yield "opendays:holidays_update", [], {}
    yield from of_trips()


def of_trips():
    """The next days of the trip, those four weeks after, and the diary of its place."""
    trip = Trip.objects.latest("at")
    yield "travelling:trip_list", [], {}
    yield "travelling:trip_create", [], {}
    yield "travelling:trip_call_off", [trip.pk], {}
    for day in (trip.first, trip.first + 28 * datetime.timedelta(days=1)):
        yield "travelling:trip_detail", [trip.pk], {"day": f"{day}"}
    place = {"room": trip.room_id, "date": f"{trip.first}"}
    yield "diary:day", [], place
    yield "diary:booking_create", [], place | {"customer": Customer.objects.earliest("pk").number}


def of_the_promises():
    """The plan, a garment of it with something tried, what can be promised, and the benches."""
    row = Garment.objects.filter(kind="coat", stage="basted").earliest("promised_on")
    yield "promising:promise_list", [], {}
    yield "promising:promise_list", [], {"show": "all"}
    yield "promising:promise_detail", [row.number], {}
    yield "promising:what_if", [row.number], {"maker": "coat-maker"}
    yield "promising:promise_ask", [], {"kind": "coat", "wished": f"{row.promised_on}"}
    yield "promising:maker_list", [], {}
    yield "promising:maker_update", [Maker.objects.earliest("pk").pk], {}
    yield "promising:stage_list", [], {}
    yield "promising:stage_update", ["coat", "baste"], {}
    yield "promising:overtime_list", [], {}


def of_the_post():
    """What is told of a booking ahead, of a garment ready, and what became of messages."""
    booking = Booking.objects.filter(state="booked", letters=None).earliest("starts_at")
    ready = Garment.objects.filter(stage__in=["finished", "final-look"]).latest("serial")
    yield "post:post_list", [], {}
    yield "post:booking_write", [booking.pk, "confirmation"], {}
    yield "post:ready_write", [ready.number], {}
    for state in ("failed", "waiting"):
        yield "post:message_detail", [Message.objects.filter(state=state).latest("pk").pk], {}
    yield "post:wording_list", [], {}
    yield "post:wording_update", ["change"], {}
    yield "post:rules_update", [], {}
    yield "feeds:feed_list", [], {}


def of_fittings(fitting):
    closed = fullest(Fitting.objects.filter(decisions__isnull=False), "judgements", "observations")
    regular = fullest(Customer.objects.all(), "garments")
    yield "session:fitting_list", [], {}
    yield "session:fitting_list", [], {"customer": regular.number}
    for row in (fitting, closed):
        yield "session:fitting_detail", [row.pk], {}
    photograph = Photograph.objects.standing().latest("at")
    yield "session:pin_page", [photograph.pk], {}
    yield "session:photographs_delete", [photograph.customer.number], {}
    older = Photograph.objects.standing().earliest("at")
    again = older.garment.fittings.latest("started_at")
    columns = ("customer", "garment", "image", "thumbnail", "width", "height", "view")
    same = {name: getattr(older, name) for name in columns}
    Photograph.objects.create(fitting=again, by=again.fitter, **same)
    yield "session:beside", [again.pk, older.garment.number], {}
    due = Booking.objects.filter(state="booked").exclude(garments=None).earliest("starts_at")
    yield "session:fitting_ahead", [due.pk], {}


def of_the_workroom(loose):
    revisions = TicketRevision.objects.all()
    full = fullest(revisions.exclude(answers__kind=Answer.Kind.DONE), "lines")
    replaced = revisions.filter(revision__gt=1).latest("at")
    yield "workroom:ticket_list", [], {}
    yield "workroom:ticket_list", [], {"state": "done"}
    yield "workroom:ticket_list", [], {"hand": "-", "operation": "take-in"}
    yield "workroom:wall", [], {}
    yield "workroom:bench_update", [], {}
    yield "workroom:afterwork", [], {}
    yield "workroom:afterwork", [], {"of": "coat.let-out.side-seam"}
    for name in ("ticket_detail", "ticket_revise"):
        yield f"workroom:{name}", [full.ticket.number], {}
    yield "workroom:ticket_find", [], {}
    yield "workroom:ticket_scan", [replaced.ticket.number, 1], {}
    yield "workroom:ticket_create", [loose.number], {}
