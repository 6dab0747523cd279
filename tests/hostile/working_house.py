"""A house in the middle of its work: two customers in it, each with everything that can be kept."""

import datetime
import io
import uuid
from dataclasses import replace
from functools import cached_property

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from customers.lengths import Length
from fittings import catalogue
from fittings.accounts import hands
from fittings.bringing.services import check_next_rows, keep_upload, map_columns
from fittings.bringing.writing import write_list
from fittings.catalogue import Change
from fittings.feeds.services import renew_feed
from fittings.housebook.queries import house_catalogue
from fittings.housebook.services import change_catalogue
from fittings.lessons.services import renew_lessons
from fittings.lists import Column
from fittings.models import Absence, Closure, HolidayRule
from fittings.promise.public_holidays import holiday_names
from fittings.session.pinned import set_pin
from fittings.session.services import (
    answer_spot_test,
    decide_next_step,
    record_observation,
    take_cause,
)
from fittings.session.services.callout import keep_remark
from fittings.session.services.photographs import record_photograph
from fittings.travelling.services import plan_trip
from garments import seams
from garments.aiming.services import record_wish
from garments.models import Garment, InlayMovement
from garments.shears.queries import before_cut
from garments.shears.services import pass_line
from garments.workroom.services import answer_ticket, issue_ticket
from tests.factories import (
    AgreedOvertimeFactory,
    AlterationFactory,
    BookingFactory,
    CallBackFactory,
    ConsentFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    JudgementFactory,
    MakerFactory,
    MessageFactory,
    ObservationFactory,
    OmissionFactory,
    RoomFactory,
    StageEntryFactory,
    StageTimeFactory,
    UserFactory,
    WaitingFactory,
)
from tests.garments.ready import measured, ordered

DAY = datetime.timedelta(days=1)


def a_list(name):
    rows = f"family name,measured on,chest\n{name},2026-01-05,38 1/2\n"
    return SimpleUploadedFile("book.csv", rows.encode(), "text/csv")


def picture():
    out = io.BytesIO()
    Image.new("RGB", (40, 60), (120, 90, 60)).save(out, "JPEG")
    return SimpleUploadedFile("coat.jpg", out.getvalue(), "image/jpeg")


def at(hour):
    day = timezone.localdate() + 3 * DAY
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time(hour)))


class House:
    """An owner who also fits, a fitter, two rooms, and two customers of everything."""

    def __init__(self):
        self.owner = UserFactory(role="owner", username="hester")
        self.fitter = UserFactory(role="fitter")
        self.rooms = [RoomFactory(), RoomFactory()]
        hands.set_pin(person=self.fitter, pin="274915")
        self.tablet, self.tablet_says = hands.share_tablet(name="Fitting room", by=self.owner)
        self.token = self._calendars()
        # It works on every holiday, so that a day near today is none.
        year = timezone.localdate().year
        names = {
            name for when in (year, year + 1) for name in holiday_names("GB", "", when).values()
        }
        HolidayRule.objects.create(country="GB", open_anyway=sorted(names), by=self.owner)
        # What lists bring in is numbered on from here, out of the way of the factories' numbers.
        CustomerFactory(serial=900_001)
        self.brought = [self.list_read(name, write=True) for name in ("Ashgrove", "Birchall")]
        self.upload = self.list_read("Cawdrey")
        self.maker = MakerFactory()
        self.overtimes = [AgreedOvertimeFactory(by=self.owner) for _ in range(2)]
        for stage in ("baste", "finish"):
            StageTimeFactory(stage=stage, by=self.owner)
        self.here = Visitor(self, hour=10, cause="back-balance-short")

    def list_read(self, name, *, write=False):
        """A list of one customer, read and checked; or brought in."""
        upload = keep_upload(
            entry_id=uuid.uuid4(), name=f"{name}.csv", content=a_list(name).read(), by=self.owner
        )
        columns = [Column(**column) for column in upload.columns]
        map_columns(upload=upload, columns=columns, answers={"unit": "in"})
        upload = check_next_rows(upload=upload)
        return write_list(upload=upload, seen=upload.version, by=self.owner) if write else upload

    def _calendars(self):
        """Every room's calendar has an address, and the fitter's, whose token this is."""
        whose = [*self.rooms, self.fitter]
        made = [renew_feed(entry_id=uuid.uuid4(), whose=row, by=self.owner) for row in whose]
        return made[-1][1]

    @cached_property
    def there(self):
        return Visitor(self, hour=13, cause="collar-too-long")


class Visitor:
    """A customer measured twice, with a coat and a waistcoat before the glass, and one ordered."""

    def __init__(self, house, hour, cause):
        self.by = house.owner
        self.customer = CustomerFactory(email=f"{cause}@post.example")
        ConsentFactory(customer=self.customer, by=self.by)
        ConsentFactory(customer=self.customer, by=self.by, kind="messages")
        # The oldest is in doubt, with a waist over its chest.
        odd = {("waist", ""): 45}
        self.doubted = measured(self.customer, days=400, by=self.by, measures=odd)
        self.sets = [measured(self.customer, days=days, by=self.by) for days in (20, 10)]
        self._made_before()
        self.coat = self._garment("coat", "first-fitting", measurement_set=self.sets[0])
        self.ordered = self._garment("coat", "ordered", promised_on=None)
        # The memory of the coats asks nothing of these.
        self.uncut = self._ordered()
        self.hasty = self._ordered(
            cloth_length=Length.inches(40), promised_on=timezone.localdate() + DAY
        )
        self.passed = self._passed("cloth")
        self.waistcoat = self._garment("waistcoat", "first-fitting")
        self._work_before()
        self._wished()
        self._fitting_now()
        self._taught(cause)
        self._restated(cause)
        self.bookings = [
            BookingFactory(
                customer=self.customer,
                garments=[self.coat],
                fitter=house.owner,
                room=house.rooms[0],
                starts_at=at(begins),
            )
            for begins in (hour, hour + 1)
        ]
        days = {"first": timezone.localdate() + hour * 10 * DAY, "by": self.by}
        days["last"] = days["first"] + DAY
        self.closure = Closure.objects.create(**days, reason="Moving")
        self.absence = Absence.objects.create(**days, person=house.fitter)
        self.trip = self._travels(house, timezone.localdate() + 7 * hour * DAY)
        self.missed = BookingFactory(customer=self.customer, state="missed")
        self.call = CallBackFactory(booking=self.missed, by=self.by)
        self.waits = WaitingFactory.create_batch(2, customer=self.customer, by=self.by)
        for waits in self.waits:
            waits.garments.set([self.coat])
        self.finished = self._garment("coat", "finished")
        self.leaving = CustomerFactory()
        self.message = MessageFactory(booking=self.bookings[1], by=self.by, state="failed")

    def _travels(self, house, day):
        """The fitter goes to another town for a day."""
        return plan_trip(
            entry_id=uuid.uuid4(),
            town="Harwold",
            place="The Bell",
            address="2 Quay Street",
            fitters=[house.fitter],
            first=day,
            last=day,
            opens=datetime.time(10),
            closes=datetime.time(17),
            there=60,
            back=60,
            by=self.by,
        )

    def _ordered(self, **values):
        """Ready to be cut from the newest measures, but for what is said otherwise."""
        return ordered(self.customer, "trousers", by=self.by, **values)

    def open_line(self, key):
        """What the page says of a line of the hasty pair."""
        garment = Garment.objects.for_lists().get(pk=self.hasty.pk)
        return before_cut(garment, self.sets[1], "in").find(key).words

    def _passed(self, line):
        return pass_line(
            entry_id=uuid.uuid4(),
            garment=self.hasty,
            measurement_set=self.sets[1],
            line=line,
            told=self.open_line(line),
            reason="The waistband is pieced",
            by=self.by,
        )

    def _garment(self, kind, stage, **values):
        garment = GarmentFactory(
            kind=kind, stage=stage, customer=self.customer, cutter=self.by, **values
        )
        for reached in dict.fromkeys(("ordered", stage)):
            StageEntryFactory(garment=garment, stage=reached, by=self.by)
        InlayMovement.objects.bulk_create(
            InlayMovement(
                garment=garment, seam=seam, side=side, amount=left, reason="left", by=self.by
            )
            for (seam, side), left in seams.normal_inlays(kind).items()
        )
        return garment

    def _made_before(self):
        """A coat delivered long ago, let out, and that cured it: the next is to be cut wider."""
        before = self._garment("coat", "delivered")
        JudgementFactory(alteration=AlterationFactory(garment=before, by=self.by), by=self.by)

    def _restated(self, cause):
        """A fault of the catalogue put in the house's words, and one that may be retired."""
        zone = "lapel" if cause == "back-balance-short" else "seat"
        self.restated, self.retirable = house_catalogue().faults_of("coat", zone)[:2]
        said = replace(self.restated, sign="As the house sees it.", source="house: Ann Weir")
        self.restating = change_catalogue(
            entry_id=uuid.uuid4(), change=Change(said), seen=None, why="So said here", by=self.by
        )

    def _taught(self, cause):
        """A coat altered for a cause and judged, which the house has learnt from, and one left out.

        ``lesson`` names the figure by the keys of its page.
        """
        coat = self._garment("coat", "delivered")
        looks = [
            FittingFactory(
                customer=self.customer,
                fitter=self.by,
                garments=[coat],
                started_at=timezone.now() - days * DAY,
            )
            for days in (40, 20)
        ]
        seen = {"fault": "collar-stands-off", "fitting": looks[0], "garment": coat, "by": self.by}
        done = {"garment": coat, "by": self.by, "at": looks[0].started_at, "cause": cause}
        self.taught, other = AlterationFactory(**done), AlterationFactory(**done)
        ObservationFactory(**seen).alterations.set([self.taught, other])
        for alteration in (self.taught, other):
            JudgementFactory(alteration=alteration, fitting=looks[1], by=self.by)
        self.omitted = OmissionFactory(alteration=other, by=self.by)
        self.lesson = {"cause": cause, "fault": "collar-stands-off", "operation": "let-out"}
        renew_lessons(catalogue=catalogue.load(), today=timezone.localdate())

    def _work_before(self):
        """Last time: one alteration to be judged, and one on a ticket that is not done."""
        before = {"garment": self.coat, "by": self.by, "at": timezone.now() - 9 * DAY}
        self.judged = AlterationFactory(**before)
        self.ticketed = AlterationFactory(**before, operation="let-down-hem", seam="hem")
        self.ticket = issue_ticket(
            form_id=uuid.uuid4(),
            garment=self.coat,
            alterations=[self.ticketed],
            due_on=timezone.localdate() + DAY,
            note="",
            by=self.by,
        )
        asked = self.ticket.revisions.get()
        words = {"kind": "asks", "reason": "How far?", "by": self.by}
        answer_ticket(entry_id=uuid.uuid4(), revision=asked, **words)

    def _wished(self):
        self.wish = record_wish(
            entry_id=uuid.uuid4(),
            garment=self.coat,
            point="sleeve",
            amount=Length.inches("1/4"),
            by=self.by,
        )

    def _fitting_now(self):
        """Open for the coat: a fault seen, an alteration taken; the waistcoat is decided."""
        self.fitting = FittingFactory(
            customer=self.customer,
            fitter=self.by,
            garments=[self.coat, self.waistcoat],
            started_at=timezone.now(),
        )
        coat = {"fitting": self.fitting, "garment": self.coat, "by": self.by}
        self.seen = record_observation(
            entry_id=uuid.uuid4(),
            zone="collar",
            fault="collar-stands-off",
            side="",
            amount=Length.inches("3/8"),
            **coat,
        )
        self.taken = AlterationFactory(garment=self.coat, by=self.by, seam="centre-back", side="")
        self.cause = take_cause(entry_id=uuid.uuid4(), cause="back-balance-short", words="", **coat)
        self.answer = answer_spot_test(
            entry_id=uuid.uuid4(), test="pad-shoulder-end", yes=True, **coat
        )
        self.remark = keep_remark(entry_id=uuid.uuid4(), text="Likes it roomy", **coat)
        self.photograph = record_photograph(entry_id=uuid.uuid4(), upload=picture(), **coat)
        # Its files go for good when a test sends that form, whatever becomes of the rows.
        self.unwanted = record_photograph(entry_id=uuid.uuid4(), upload=picture(), **coat)
        self.pin = set_pin(
            entry_id=uuid.uuid4(),
            photograph=self.photograph,
            observation=self.seen,
            x=200,
            y=300,
            by=self.by,
        )
        self.decision = decide_next_step(
            entry_id=uuid.uuid4(), step="alter", **(coat | {"garment": self.waistcoat})
        )
