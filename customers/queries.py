"""Reads about customers that more than one room needs."""

from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import Q, QuerySet

from customers.lengths import Length
from customers.models import Changed, Customer, House, Measurement, MeasurementSet, ReadingConfirmed
from customers.people import name_of
from customers.plausible import doubts, readings_apart


def unit_of(customer: Customer) -> str:
    """The unit a customer's measures are read in: their own, or else the house's."""
    return customer.unit or House.get().unit


def newest_customers() -> QuerySet[Customer]:
    """Everyone but the erased, who was registered last first."""
    return Customer.objects.filter(erased_at=None).order_by("-created_at", "-pk")


def all_sets(customer: Customer) -> QuerySet[MeasurementSet]:
    """The customer's sets, corrected ones too, newest first: one query."""
    rows = MeasurementSet.objects.filter(customer=customer).order_by("-taken_on", "-at")
    return rows.select_related("taken_by", "struck_by", "customer")


def standing_sets(customer: Customer) -> list[MeasurementSet]:
    """The customer's standing sets, newest first, each with its measures: two queries."""
    return list(_standing(customer).select_related("taken_by").prefetch_related("measurements"))


def latest_set(customer: Customer) -> MeasurementSet | None:
    """The newest standing set with its measures, if the customer was ever measured."""
    return _standing(customer).prefetch_related("measurements").first()


def was_measured(customer: Customer) -> bool:
    """Whether a set of measures stands. One query."""
    return _standing(customer).exists()


def last_measures(
    customer: Customer, *, without: MeasurementSet | None = None
) -> dict[tuple[str, str], Length]:
    """The newest standing first reading of every point ever taken, by (point, side): one query.

    ``without`` leaves one set out; only sets taken before it, or entered before it on the same
    day, count then.
    """
    sets = _standing(customer)
    if without is not None:
        sets = sets.exclude(pk=without.pk).filter(taken_on__lte=without.taken_on)
        sets = sets.exclude(taken_on=without.taken_on, at__gt=without.at)
    rows = Measurement.objects.filter(in_set__in=sets.order_by(), reading=1)
    oldest_first = rows.order_by("in_set__taken_on", "in_set__at", "pk")
    values = oldest_first.values_list("point", "side", "value")
    return {(point, side): value for point, side, value in values}


def before_and_since(
    row: MeasurementSet,
) -> tuple[dict[tuple[str, str], Length], dict[tuple[str, str], Length]]:
    """What a set holds, and of each point the newest that standing sets taken after it hold.

    First readings by (point, side): one query.
    """
    after = Q(taken_on__gt=row.taken_on) | Q(taken_on=row.taken_on, at__gt=row.at)
    later = MeasurementSet.objects.standing().filter(after, customer=row.customer_id)
    rows = Measurement.objects.filter(Q(in_set=row) | Q(in_set__in=later.order_by()), reading=1)
    before: dict[tuple[str, str], Length] = {}
    since: dict[tuple[str, str], Length] = {}
    for reading in rows.order_by("in_set__taken_on", "in_set__at", "pk"):
        held = before if reading.in_set_id == row.pk else since
        held[reading.point, reading.side] = reading.value
    return before, since


@dataclass(frozen=True, slots=True)
class Asked:
    """A reading that was asked about, and who said that it is as the tape said, if anyone did."""

    point: str
    side: str
    question: str
    confirmed: ReadingConfirmed | None

    @property
    def by_whom(self) -> str:
        return name_of(self.confirmed.by if self.confirmed else None)


def asked_of(row: MeasurementSet) -> list[Asked]:
    """Every reading of a set that is in doubt, one question a reading. Two queries.

    ``row`` comes with its customer and measures.
    """
    first, second = row.lengths(1), row.lengths(2)
    earlier = last_measures(row.customer, without=row)
    questions: dict[tuple[str, str], str] = {}
    apart = readings_apart(first, second, unit=row.unit)
    for doubt in (*apart, *doubts(first, earlier, unit=row.unit)):
        key = doubt.point, doubt.side
        questions[key] = " ".join(filter(None, (questions.get(key), doubt.question)))
    said = ReadingConfirmed.objects.standing().filter(in_set=row).select_related("by")
    confirmed = {(each.point, each.side): each for each in said.order_by("at", "pk")}
    return [Asked(*key, question, confirmed.get(key)) for key, question in questions.items()]


def _standing(customer: Customer) -> "QuerySet[MeasurementSet]":
    rows = MeasurementSet.objects.standing().filter(customer=customer)
    return rows.order_by("-taken_on", "-at")


def last_changer(customer: Customer | None, about: str) -> User | None:
    """Who last changed a row of this customer's, or of the house's where there is none."""
    changes = Changed.objects.filter(customer=customer, about=about).select_related("by")
    newest = changes.order_by("-at").first()
    return newest.by if newest else None
