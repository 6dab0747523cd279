from customers.models.customer import Consent, Customer, CustomerQuerySet, House, Unit
from customers.models.measures import Measurement, MeasurementSet, ReadingConfirmed

__all__ = [
    "Consent",
    "Customer",
    "CustomerQuerySet",
    "House",
    "Measurement",
    "MeasurementSet",
    "ReadingConfirmed",
    "Unit",
]
