import datetime
from functools import cache

import factory
from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group, User

from customers.lengths import Length
from customers.models import Consent, Customer, Measurement, MeasurementSet
from customers.numbers import next_number


@cache
def hashed(password: str, hasher: str) -> str:
    """Each password is hashed once: what a real hasher takes for it is most of many a test."""
    return make_password(password)


class UserFactory(factory.django.DjangoModelFactory):
    """A person of the house; ``UserFactory(role="fitter")`` puts them in that group."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"hand{n}")
    first_name = "Ansel"
    last_name = factory.Sequence(lambda n: f"Wren{n}")
    password = factory.Transformer(
        "chalk-and-thread-7", transform=lambda said: hashed(said, settings.PASSWORD_HASHERS[0])
    )

    @factory.post_generation
    def role(self, create, extracted, **kwargs):
        if extracted:
            self.groups.add(Group.objects.get(name=extracted))


class CustomerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Customer

    serial = factory.Sequence(lambda n: next_number("C", 1000 + 3 * n)[1])
    number = factory.LazyAttribute(lambda o: next_number("C", o.serial - 1)[0])
    given_name = "Tobiah"
    family_name = factory.Sequence(lambda n: f"Marrowby{n}")
    phone = "01632 960 101"


class ConsentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Consent

    customer = factory.SubFactory(CustomerFactory)
    by = factory.SubFactory(UserFactory)
    kind = "fitting-photographs"
    given = True
    given_on = datetime.date(2026, 1, 5)
    wording = "Photographs of the coat on me may be taken for the workroom."


class MeasurementSetFactory(factory.django.DjangoModelFactory):
    """An empty set; add rows with MeasurementFactory or pass ``measures={("chest", ""): "38"}``."""

    class Meta:
        model = MeasurementSet
        skip_postgeneration_save = True

    customer = factory.SubFactory(CustomerFactory)
    by = factory.SubFactory(UserFactory)
    taken_by = factory.SelfAttribute("by")
    taken_on = datetime.date(2026, 1, 5)
    unit = "in"

    @factory.post_generation
    def measures(self, create, extracted, **kwargs):
        for (point, side), inches in (extracted or {}).items():
            MeasurementFactory(in_set=self, point=point, side=side, value=Length.inches(inches))


class MeasurementFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Measurement

    in_set = factory.SubFactory(MeasurementSetFactory)
    point = "chest"
    side = ""
    reading = 1
    value = Length.inches(38)
