"""Garments and customers with a history, made by the services as the house makes it."""

import datetime
import uuid

from customers.lengths import Length
from fittings.models import BookingChange, Judgement, Observation, Photograph
from garments.altering import record_alteration, strike_alteration
from garments.services import cut_garment, enter_stage, record_remake, set_inlay
from garments.workroom.services import answer_ticket, issue_ticket, revise_ticket
from tests.factories import (
    BookingFactory,
    CauseTakenFactory,
    ConsentFactory,
    DecisionFactory,
    FittingFactory,
    GarmentFactory,
    MeasurementSetFactory,
    ObservationFactory,
    RemarkFactory,
    SpotAnswerFactory,
    UserFactory,
)
from tests.garments.ready import measured, ordered


def staff():
    names = {"fitter": ("Ansel", "Wren"), "workroom": ("Corbin", "Tase")}
    return {
        role: UserFactory(role=role, first_name=first, last_name=last)
        for role, (first, last) in names.items()
    }


def order_coat(people):
    """A coat ordered through the services, cut from its customer's measures."""
    measures = measured()
    coat = ordered(measures.customer, by=people["fitter"], cloth="Grey worsted", promised_on=None)
    cut_garment(entry_id=uuid.uuid4(), garment=coat, measurement_set=measures, by=people["fitter"])
    return coat


def live(coat, people):
    """One round of the coat's life: looked at, altered, ticketed, judged, counted, struck out."""
    fitter, hand = people["fitter"], people["workroom"]
    by = {"entry_id": uuid.uuid4(), "by": fitter}
    booking = BookingFactory(customer=coat.customer, garments=[coat], state="cancelled")
    BookingChange.objects.create(
        booking=booking,
        what="cancelled",
        reason="A cold",
        starts_at=booking.starts_at,
        ends_at=booking.ends_at,
        fitter=fitter,
        room=booking.room,
        by=fitter,
    )
    fitting = FittingFactory(customer=coat.customer, garments=[coat], fitter=fitter)
    enter_stage(garment=coat, stage="forward-fitting", **by)
    seen = ObservationFactory(fitting=fitting, garment=coat, zone="vents", by=fitter)
    Observation.objects.create(
        fitting=fitting, garment=coat, zone="collar", strikes=seen, by=fitter
    )
    SpotAnswerFactory(fitting=fitting, garment=coat, by=fitter)
    CauseTakenFactory(fitting=fitting, garment=coat, by=fitter)
    RemarkFactory(fitting=fitting, garment=coat, by=fitter)
    let_out = record_alteration(
        **by,
        garment=coat,
        operation="let-out",
        seam="side-seam",
        side="both",
        amount=Length.inches("0.125"),
        why="Tight",
    )
    wrong = record_alteration(
        entry_id=uuid.uuid4(),
        by=fitter,
        garment=coat,
        operation="take-in",
        seam="centre-back",
        side="",
        amount=Length.inches("0.25"),
    )
    strike_alteration(entry_id=uuid.uuid4(), alteration=wrong, by=fitter)
    DecisionFactory(fitting=fitting, garment=coat, by=fitter)
    due = datetime.date(2100, 1, 1)
    ticket = issue_ticket(
        form_id=uuid.uuid4(), garment=coat, alterations=[let_out], due_on=due, note="", by=fitter
    )
    revision = revise_ticket(
        entry_id=uuid.uuid4(),
        ticket=ticket,
        alterations=[let_out],
        due_on=due,
        note="",
        reason="Sooner",
        by=fitter,
    )
    for kind in ("taken", "done"):
        answer_ticket(entry_id=uuid.uuid4(), revision=revision, kind=kind, reason="", by=hand)
    Judgement.objects.create(fitting=fitting, alteration=let_out, verdict="cured", by=fitter)
    set_inlay(
        entry_id=uuid.uuid4(),
        garment=coat,
        seam="hem",
        side="L",
        counted=Length.inches(1),
        by=hand,
    )
    record_remake(entry_id=uuid.uuid4(), replaces=coat, piece="collar", reason="Spoilt", by=fitter)
    Photograph.objects.create(customer=coat.customer, fitting=fitting, garment=coat, by=fitter)
    enter_stage(entry_id=uuid.uuid4(), garment=coat, stage="basted", by=hand)


def lived(customer, people):
    """What a customer gathers in one season: measures, a consent, bookings, a fitting, a coat."""
    MeasurementSetFactory(customer=customer, measures={("chest", ""): 38, ("waist", ""): 33})
    ConsentFactory(customer=customer)
    coat = GarmentFactory(customer=customer)
    for state in ("booked", "missed"):
        BookingFactory(
            customer=customer,
            garments=[coat],
            state=state,
            starts_at=datetime.datetime(2100, 1, 4, 10, tzinfo=datetime.UTC),
        )
    fitting = FittingFactory(customer=customer, garments=[coat])
    Photograph.objects.create(customer=customer, fitting=fitting, garment=coat, by=people["fitter"])
