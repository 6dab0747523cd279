"""One customer with something in every table, named in every text that people write."""

import uuid

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from customers.services import keep_change
from fittings.models import (
    BookingChange,
    CauseTaken,
    MessageEvent,
    Photograph,
    PhotographPin,
)
from fittings.privacy.erasing import erase_customer
from fittings.session.photographs import prepare
from fittings.session.services.photographs import delete_photographs
from garments.models import (
    Answer,
    FinishedMeasure,
    GarmentWish,
    InlayMovement,
    PassedLine,
    TicketLine,
)
from tests import factories as made
from tests.session.test_photographs import picture

NAME, FIRST = "Quillfeather", "Barnabas"
EMAIL, PHONE = "barnabas@quill.example", "01632 960 447"
TEXT = f"{FIRST} {NAME} of {EMAIL}, {PHONE}"


JPEG = prepare(picture()).thumbnail


def erase_now(customer, owner, **values):
    usual = {"entry_id": uuid.uuid4(), "typed": customer.number, "reason": "asked", "by": owner}
    return erase_customer(customer=customer, **(usual | {"close_open": True} | values))


def furnish(owner, *, name=NAME, text=TEXT):
    """The customer; ``text`` stands in each of the columns that people write into."""
    customer = made.CustomerFactory(
        given_name=FIRST,
        family_name=name,
        phone=PHONE,
        email=EMAIL,
        notes=text,
        title="Sir",
        town=f"{NAME} Abbas",
    )
    by = {"by": owner}
    for kind in ("fitting-photographs", "messages"):
        made.ConsentFactory(customer=customer, kind=kind, wording=text, **by)
    keep_change(customer, customer.number, ["phone"], owner)
    taken = made.MeasurementSetFactory(
        customer=customer, note=text, measures={("chest", ""): 38, ("waist", ""): 33}, **by
    )
    taken.readings_confirmed.create(point="chest", question="Is 38 right?", **by)
    coat = _garment(customer, taken, text, by)
    _tickets(coat, text, by)
    _diary(customer, coat, text, by)
    _fitting(customer, coat, text, by)
    return customer


def _garment(customer, taken, text, by):
    coat = made.GarmentFactory(
        customer=customer,
        stage="delivered",
        notes=text,
        cloth=f"{NAME} check",
        measurement_set=taken,
    )
    made.StageEntryFactory(garment=coat, stage="delivered", reason=text, **by)
    about = {"garment": coat, **by}
    InlayMovement.objects.create(seam="side-seam", side="L", amount=1, reason="left", **about)
    GarmentWish.objects.create(point="sleeve", amount=1, note=text, **about)
    FinishedMeasure.objects.create(point="sleeve", value=1, **about)
    made.RemakeFactory(replaces=coat, garment=None, piece="sleeve", reason=text, **by)
    made.CarryAnswerFactory(accepted=False, reason=text, **about)
    PassedLine.objects.create(
        measurement_set=taken, line="promise", told="Late", reason=text, **about
    )
    return coat


def _tickets(coat, text, by):
    alteration = made.AlterationFactory(garment=coat, why=text, **by)
    revision = made.TicketRevisionFactory(ticket__garment=coat, note=text, reason=text, **by)
    TicketLine.objects.create(revision=revision, position=1, alteration=alteration)
    Answer.objects.create(revision=revision, kind="asks", reason=text, **by)
    made.OmissionFactory(alteration=alteration, note=text, **by)


def _diary(customer, coat, text, by):
    booking = made.BookingFactory(customer=customer, garments=[coat], note=text, state="missed")
    place = {"fitter": booking.fitter, "room": booking.room}
    when = {"starts_at": booking.starts_at, "ends_at": booking.ends_at}
    BookingChange.objects.create(booking=booking, what="moved", reason=text, **place, **when, **by)
    made.CallBackFactory(booking=booking, note=text, **by)
    made.WaitingFactory(customer=customer, note=text, **by)
    letter = made.MessageFactory(
        booking=booking, subject=text, body=text, short=text, calendar=text, state="failed", **by
    )
    MessageEvent.objects.create(message=letter, what="failed", why=text)


def _fitting(customer, coat, text, by):
    fitting = made.FittingFactory(customer=customer, garments=[coat])
    about = {"fitting": fitting, "garment": coat, **by}
    seen = made.ObservationFactory(fault="collar-stands-off", note=text, **about)
    made.RemarkFactory(text=text, **about)
    CauseTaken.objects.create(words=text, **about)
    made.SpotAnswerFactory(**about)
    alteration = made.AlterationFactory(garment=coat, cause="back-balance-short", **by)
    made.JudgementFactory(fitting=fitting, alteration=alteration, note=text, **by)
    made.DecisionFactory(step="deliver", note=text, **about)
    kept, gone = (_photograph(customer, text, about) for _ in range(2))
    PhotographPin.objects.create(photograph=kept, observation=seen, x=1, y=1, **by)
    delete_photographs(entry_id=uuid.uuid4(), photographs=[gone], reason=text, **by)


def _photograph(customer, text, about):
    names = [f"{uuid.uuid4().hex}.jpg" for _ in range(2)]
    for name in names:
        default_storage.save(name, ContentFile(JPEG))
    row = Photograph(
        customer=customer, image=names[0], thumbnail=names[1], caption=text[:120], **about
    )
    row.save(force_insert=True)
    return row
