"""Reads about customers that more than one room needs."""

from customers.models import Customer, House, MeasurementSet


def unit_of(customer: Customer) -> str:
    """The unit a customer's measures are read in: their own, or else the house's."""
    return customer.unit or House.get().unit


def standing_sets(customer: Customer) -> list[MeasurementSet]:
    """The customer's standing sets, newest first, each with its measures: two queries."""
    rows = MeasurementSet.objects.standing().filter(customer=customer)
    newest_first = rows.order_by("-taken_on", "-at").select_related("taken_by")
    return list(newest_first.prefetch_related("measurements"))


def latest_set(customer: Customer) -> MeasurementSet | None:
    """The newest standing set with its measures, if the customer was ever measured."""
    rows = MeasurementSet.objects.standing().filter(customer=customer)
    return rows.order_by("-taken_on", "-at").prefetch_related("measurements").first()
