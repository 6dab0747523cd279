import datetime

import factory

from customers.lengths import Length
from customers.numbers import next_number
from garments.models import (
    Alteration,
    CarryAnswer,
    Cut,
    CutVersion,
    Garment,
    Remake,
    StageEntry,
    Ticket,
    TicketRevision,
)
from tests.factories.customers import CustomerFactory, UserFactory


class CutFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Cut

    name = factory.Sequence(lambda n: f"Weir cut {n}")
    kind = "coat"


class CutVersionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = CutVersion

    cut = factory.SubFactory(CutFactory)
    version = 1
    made_on = datetime.date(2025, 1, 1)


class GarmentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Garment

    serial = factory.Sequence(lambda n: next_number("G", 2000 + 3 * n)[1])
    number = factory.LazyAttribute(lambda o: next_number("G", o.serial - 1)[0])
    customer = factory.SubFactory(CustomerFactory)
    kind = "coat"
    cut_version = factory.SubFactory(CutVersionFactory, cut__kind=factory.SelfAttribute("...kind"))
    cloth = "Grey worsted, 11 oz"
    cloth_length = Length.of_cm(400)
    cutter = factory.SubFactory(UserFactory)
    ordered_on = datetime.date(2026, 1, 5)
    promised_on = datetime.date(2026, 4, 5)


class StageEntryFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = StageEntry

    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    stage = "ordered"


class AlterationFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Alteration

    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    operation = "let-out"
    seam = "side-seam"
    side = "both"
    amount = Length.inches("3/8")


class CarryAnswerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = CarryAnswer

    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    operation = "let-out"
    seam = "side-seam"
    side = "both"
    amount = Length.inches("1/4")
    accepted = True
    reason = factory.LazyAttribute(lambda o: "" if o.accepted else "Another cut this time.")
    proposed = Length.inches("1/4")
    count = 2
    sureness = "fairly"


class TicketFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Ticket

    serial = factory.Sequence(lambda n: next_number("T", 3000 + 3 * n)[1])
    number = factory.LazyAttribute(lambda o: next_number("T", o.serial - 1)[0])
    garment = factory.SubFactory(GarmentFactory)


class TicketRevisionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = TicketRevision

    ticket = factory.SubFactory(TicketFactory)
    by = factory.SubFactory(UserFactory)
    revision = 1
    due_on = datetime.date(2026, 2, 1)


class RemakeFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Remake

    replaces = factory.SubFactory(GarmentFactory)
    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    reason = "Foreparts too small in the chest"
