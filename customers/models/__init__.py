from customers.models.customer import Changed, Consent, Customer, CustomerQuerySet, House, Unit
from customers.models.measures import Measurement, MeasurementSet, ReadingConfirmed

__all__ = [
    "Changed",
    "Consent",
    "Customer",
    "CustomerQuerySet",
    "House",
    "Measurement",
    "MeasurementSet",
    "ReadingConfirmed",
    "Unit",
]
