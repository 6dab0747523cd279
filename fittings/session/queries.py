"""What the fitting room asks of the record. Each question is a fixed number of queries."""

import datetime
import uuid
from typing import Any

from django.contrib.auth.models import User
from django.db.models import (
    Exists,
    Func,
    IntegerField,
    Max,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
)

from customers.ledger import LedgerQuerySet
from customers.models import Consent, Customer
from fittings.clock import midnight
from fittings.models import (
    Booking,
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
    Remark,
    SpotAnswer,
)
from garments.models import Alteration, Answer, Garment
from garments.models.garment import GarmentQuerySet
from garments.workroom.queries import newest_revisions

Stated = LedgerQuerySet[Any]  # mypy has no name for a row that carries more than its columns

OPEN_FOR = datetime.timedelta(days=28)  # a session left open longer is no longer asked about


def in_order() -> Any:
    """The garments of each row, the coat before what was ordered with it."""
    return Prefetch("garments", queryset=Garment.objects.for_lists().order_by("serial"))


def bookings_of_day(day: datetime.date) -> QuerySet[Booking]:
    """Fittings booked and still to be begun on ``day`` by the house's clock, in order of time."""
    return due_on(day).exclude(purpose=Booking.Purpose.MEASURE)


def due_on(day: datetime.date) -> QuerySet[Booking]:
    """The same, and those who come to be measured."""
    starts = midnight(day)
    return (
        Booking.objects.filter(
            starts_at__gte=starts,
            starts_at__lt=starts + datetime.timedelta(days=1),
            state__in=Booking.COMING,
            fitting__isnull=True,
        )
        .select_related("customer", "room", "fitter")
        .prefetch_related(in_order())
        .order_by("starts_at", "pk")
    )


def fitting_id_of(booking: Booking) -> uuid.UUID:
    """The id of the session of a booking, known before it is begun."""
    return uuid.uuid5(booking.pk, "fitting")


def open_sessions(*, since: datetime.datetime) -> QuerySet[Fitting]:
    """Sessions begun after ``since`` with a garment whose next step nobody has decided."""
    decided = Decision.objects.standing().filter(
        fitting=OuterRef("fitting_id"), garment=OuterRef("garment_id")
    )
    undecided = Fitting.garments.through.objects.filter(~Exists(decided), fitting=OuterRef("pk"))
    return (
        Fitting.objects.filter(Exists(undecided), started_at__gte=since)
        .select_related("customer", "fitter")
        .prefetch_related(in_order())
    )


def state_of(pk: uuid.UUID, number: str) -> str:
    """How much has been said of a garment in a session: changes with each entry. One query.

    Rows of the ledger are only ever added, so how many there are is enough. "" for no such session.
    """
    said = (Observation, CauseTaken, SpotAnswer, Remark, Decision, Photograph)
    rows: list[QuerySet[Any]] = [
        each._default_manager.filter(fitting_id=pk, garment__number=number) for each in said
    ]
    rows.append(Judgement.objects.filter(fitting_id=pk))
    rows.append(Alteration.objects.filter(garment__number=number))
    # As a plain function: Count would group by row.
    many = Func("pk", function="Count", output_field=IntegerField())
    counts = [Subquery(each.order_by().annotate(many=many).values("many")) for each in rows]
    found = Fitting.objects.filter(pk=pk).values_list(*counts).first()
    return "-".join(str(count) for count in found or ())


def fitting_for_screen(pk: uuid.UUID) -> QuerySet[Fitting]:
    """The session with its people and garments: what every address of it starts from."""
    return (
        Fitting.objects.filter(pk=pk)
        .select_related("customer", "fitter", "booking")
        .prefetch_related(in_order())
    )


def garments_to_try(customer: Customer) -> GarmentQuerySet:
    """Garments a customer may be fitted in: all but those replaced by a remake."""
    return customer.garments.exclude(stage="remade").order_by("-serial")


def seen_so_far(fitting: Fitting, garment: Garment) -> Stated:
    """What stands of this garment in this session, newest first, with what answers it."""
    return (
        Observation.objects.standing()
        .filter(fitting=fitting, garment=garment)
        .prefetch_related(
            Prefetch(
                "alterations",
                queryset=Alteration.objects.standing().order_by("at"),
                to_attr="answers",
            )
        )
        .order_by("-at", "-pk")
    )


def remarks_of(fitting: Fitting, garment: Garment) -> LedgerQuerySet[Remark]:
    return Remark.objects.standing().filter(fitting=fitting, garment=garment).order_by("-at", "-pk")


def alterations_to_judge(fitting: Fitting, garment: Garment) -> Stated:
    """Alterations decided before this session that no other session has judged, oldest first.

    ``done`` says the bench marked it so; ``said_now`` holds this session's verdict, if any;
    ``answered`` the faults it was to cure.
    """
    judged = Judgement.objects.standing().filter(alteration=OuterRef("pk"))
    done = Answer.objects.standing().filter(
        revision__lines__alteration=OuterRef("pk"), kind=Answer.Kind.DONE
    )
    said_now: Any = Judgement.objects.standing().filter(fitting=fitting)
    answered: Any = Observation.objects.standing()
    return (
        Alteration.objects.standing()
        .filter(~Exists(judged.exclude(fitting=fitting)), garment=garment)
        .filter(at__lt=fitting.started_at)
        .exclude(operation="leave")
        .annotate(done=Exists(done))
        .prefetch_related(
            Prefetch("judgements", queryset=said_now, to_attr="said_now"),
            Prefetch("observations", queryset=answered, to_attr="answered"),
        )
        .order_by("at", "pk")
    )


def alterations_taken(fitting: Fitting, garment: Garment) -> Stated:
    """Alterations decided in this session, oldest first; ``ticketed`` when on a ticket."""
    next_session = Fitting.objects.filter(
        garments=garment, started_at__gt=fitting.started_at, started_at__lte=OuterRef("at")
    )
    ticketed = newest_revisions().filter(lines__alteration=OuterRef("pk"))
    return (
        Alteration.objects.standing()
        .filter(~Exists(next_session), garment=garment, at__gte=fitting.started_at)
        .annotate(ticketed=Exists(ticketed))
        .order_by("at", "pk")
    )


def causes_taken(fitting: Fitting, garment: Garment) -> LedgerQuerySet[CauseTaken]:
    """What the fitter holds to be behind the faults of a garment in this session, oldest first."""
    rows = CauseTaken.objects.standing().filter(fitting=fitting, garment=garment)
    return rows.order_by("at", "pk")


def spot_answers(fitting: Fitting, garment: Garment) -> LedgerQuerySet[SpotAnswer]:
    """What the tests done on the spot answered in this session, oldest first."""
    rows = SpotAnswer.objects.standing().filter(fitting=fitting, garment=garment)
    return rows.order_by("at", "pk")


def due_from_workroom(garment: Garment) -> datetime.date | None:
    """The latest day a ticket of the garment is due; None without a ticket."""
    rows = newest_revisions().filter(ticket__garment=garment)
    day: datetime.date | None = rows.aggregate(day=Max("due_on"))["day"]
    return day


def decisions_of(fitting: Fitting) -> dict[int, Decision]:
    """The next steps that stand in a session, by the key of their garment."""
    rows = Decision.objects.standing().filter(fitting=fitting)
    return {row.garment_id: row for row in rows}


def photographs_of(
    fitting: Fitting, garment: Garment
) -> tuple[list[Photograph], dict[str, Photograph]]:
    """A garment's photographs of this fitting, and by view the newest of the fittings before."""
    until = Photograph.objects.standing().filter(
        Q(fitting=fitting) | Q(fitting__started_at__lt=fitting.started_at), garment=garment
    )
    rows = list(until.order_by("at"))
    now = [row for row in rows if row.fitting_id == fitting.pk]
    return now, {row.view: row for row in rows if row.fitting_id != fitting.pk}


def photographs_taken(customer: Customer) -> LedgerQuerySet[Photograph]:
    """Every photograph ever kept of a customer, struck and deleted ones too, newest first."""
    taken = Photograph.objects.filter(customer=customer, void=False)
    return taken.select_related("garment", "struck_by").order_by("-at", "-pk")


def photographs_on_disk(customer: Customer) -> LedgerQuerySet[Photograph]:
    """Those of them that were not deleted for good."""
    return photographs_taken(customer).filter(deletion__isnull=True)


def newest_consent(customer: Customer) -> Consent | None:
    """The last word on photographs for the workroom that stands, None when never asked."""
    return (
        Consent.objects.standing()
        .filter(customer=customer, kind=Consent.Kind.FITTING_PHOTOGRAPHS)
        .order_by("-given_on", "-at")
        .first()
    )


def may_photograph(customer: Customer) -> bool:
    consent = newest_consent(customer)
    return consent is not None and consent.given


def fitters_first(bookings: QuerySet[Booking], fitter: User) -> tuple[list[Booking], list[Booking]]:
    """The fitter's own bookings, and everyone else's, from one query."""
    own: list[Booking] = []
    others: list[Booking] = []
    for booking in bookings:
        (own if booking.fitter_id == fitter.pk else others).append(booking)
    return own, others
