import datetime

import factory
from django.utils import timezone

from fittings.models import (
    AgreedOvertime,
    Booking,
    CallBack,
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Maker,
    Message,
    Observation,
    Omission,
    Remark,
    Room,
    SpotAnswer,
    StageTime,
    Waiting,
)
from tests.factories.customers import CustomerFactory, UserFactory
from tests.factories.garments import AlterationFactory, GarmentFactory


class RoomFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Room

    name = factory.Sequence(lambda n: f"Room {n}")


class BookingFactory(factory.django.DjangoModelFactory):
    """A booking; ``BookingFactory(garments=[coat])`` ties garments to it."""

    class Meta:
        model = Booking
        skip_postgeneration_save = True

    customer = factory.SubFactory(CustomerFactory)
    fitter = factory.SubFactory(UserFactory)
    room = factory.SubFactory(RoomFactory)
    purpose = "first-fitting"
    starts_at = datetime.datetime(2026, 2, 2, 10, 0, tzinfo=datetime.UTC)
    ends_at = factory.LazyAttribute(lambda o: o.starts_at + datetime.timedelta(minutes=30))

    @factory.post_generation
    def garments(self, create, extracted, **kwargs):
        self.garments.set(extracted or [])


class MessageFactory(factory.django.DjangoModelFactory):
    """A confirmation that waits in the outbox."""

    class Meta:
        model = Message

    kind = "confirmation"
    booking = factory.SubFactory(BookingFactory)
    customer = factory.SelfAttribute("booking.customer")
    booking_version = factory.SelfAttribute("booking.version")
    occasion = factory.LazyAttribute(lambda o: f"{o.kind}:{o.booking.pk}")
    wording = 0
    address = factory.SelfAttribute("customer.email")
    subject = "Your first fitting"
    body = "Dear Tobiah,\n\nwe have kept a time for you."
    short = "Your first fitting is booked."
    by = factory.SubFactory(UserFactory)


class FittingFactory(factory.django.DjangoModelFactory):
    """A session; ``FittingFactory(garments=[coat])`` ties garments to it."""

    class Meta:
        model = Fitting
        skip_postgeneration_save = True

    customer = factory.SubFactory(CustomerFactory)
    fitter = factory.SubFactory(UserFactory)
    purpose = "first-fitting"
    started_at = datetime.datetime(2026, 2, 2, 10, 0, tzinfo=datetime.UTC)

    @factory.post_generation
    def garments(self, create, extracted, **kwargs):
        self.garments.set(extracted or [])


class ObservationFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Observation

    fitting = factory.SubFactory(FittingFactory)
    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    zone = "collar"


class RemarkFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Remark

    fitting = factory.SubFactory(FittingFactory)
    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    text = "likes it roomy"


class CauseTakenFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = CauseTaken

    fitting = factory.SubFactory(FittingFactory)
    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    cause = "back-balance-short"


class SpotAnswerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = SpotAnswer

    fitting = factory.SubFactory(FittingFactory)
    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    test = "pad-shoulder-end"
    yes = True


class JudgementFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Judgement

    fitting = factory.SubFactory(FittingFactory)
    alteration = factory.SubFactory(AlterationFactory)
    by = factory.SubFactory(UserFactory)
    verdict = "cured"


class DecisionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Decision

    fitting = factory.SubFactory(FittingFactory)
    garment = factory.SubFactory(GarmentFactory)
    by = factory.SubFactory(UserFactory)
    step = "alter"


class OmissionFactory(factory.django.DjangoModelFactory):
    """One alteration the house does not learn from."""

    class Meta:
        model = Omission

    alteration = factory.SubFactory(AlterationFactory)
    by = factory.SubFactory(UserFactory)


class MakerFactory(factory.django.DjangoModelFactory):
    """A maker who has been there as long as the house."""

    class Meta:
        model = Maker

    name = factory.Sequence(lambda n: f"Maker {n}")
    craft = "coat-maker"
    since = datetime.date(2020, 1, 1)


class WaitingFactory(factory.django.DjangoModelFactory):
    """Who would come at any time of the next two weeks, with anybody."""

    class Meta:
        model = Waiting

    customer = factory.SubFactory(CustomerFactory)
    by = factory.SubFactory(UserFactory)
    purpose = "first-fitting"
    first = factory.LazyFunction(timezone.localdate)
    last = factory.LazyAttribute(lambda o: o.first + datetime.timedelta(days=14))


class CallBackFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = CallBack

    booking = factory.SubFactory(BookingFactory, state="missed")
    by = factory.SubFactory(UserFactory)
    on = factory.LazyFunction(timezone.localdate)


class AgreedOvertimeFactory(factory.django.DjangoModelFactory):
    """An hour more a day for the finishers, next week."""

    class Meta:
        model = AgreedOvertime

    by = factory.SubFactory(UserFactory)
    craft = "finisher"
    minutes = 60
    first = factory.LazyFunction(lambda: timezone.localdate() + datetime.timedelta(days=7))
    last = factory.LazyAttribute(lambda o: o.first + datetime.timedelta(days=4))


class StageTimeFactory(factory.django.DjangoModelFactory):
    """What a stage of a coat takes in this house."""

    class Meta:
        model = StageTime

    by = factory.SubFactory(UserFactory)
    kind = "coat"
    stage = "baste"
    minutes = 500
    wait_days = 1
    reason = "Counted on six coats"
