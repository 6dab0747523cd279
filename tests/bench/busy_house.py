"""Ten years of a busy house, put into the default database at once: rows only, no services.

At full size (``GARMENTS``) what `design.md` names: 5,000 customers, 20,000 garments, 60,000
sessions, 300,000 observations, and the stages, tickets, alterations and judgements that go with
them. Everything is drawn with one seed, so that two runs load the same house.
"""

import datetime
import random
from collections.abc import Iterator

from django.db import transaction

from customers.lengths import Length
from customers.models import Customer
from customers.numbers import next_number
from fittings import catalogue
from fittings.models import CauseTaken, Fitting, Judgement, Observation
from garments import seams
from garments.models import (
    Alteration,
    Answer,
    CarryAnswer,
    Garment,
    Remake,
    StageEntry,
    Ticket,
    TicketRevision,
)
from tests.factories import CutVersionFactory, UserFactory

GARMENTS, DAYS = 20_000, 3_650
ROWS = 4_000  # in one statement
DAY = datetime.timedelta(days=1)
# Days before the delivery at which a garment reached each stage.
STAGES = {
    "ordered": 90,
    "cut": 80,
    "basted": 70,
    "first-fitting": 60,
    "altering": 55,
    "forward-fitting": 30,
    "finished": 10,
    "delivered": 0,
}
LOOKS = {"first-fitting": 60, "forward-fitting": 30, "final-look": 10}


class BusyHouse:
    """So many garments delivered evenly over ten years up to ``now``; kept by `load`."""

    def __init__(self, now: datetime.datetime, garments: int = GARMENTS) -> None:
        self.now, self.count, self.draw = now, garments, random.Random(7)
        self.rows: dict[type, list] = {}

    @transaction.atomic
    def load(self) -> None:
        self.people = {role: [UserFactory(role=role) for _ in range(6)] for role in ("fitter",)}
        self.people["cutter"] = [UserFactory(role="workroom") for _ in range(6)]
        self.people["maker"] = [UserFactory(role="workroom") for _ in range(8)]
        kinds = ("coat", "coat", "trousers", "waistcoat")
        self.cuts = [CutVersionFactory(cut__kind=kinds[n % 4]) for n in range(12)]
        book = catalogue.load()
        self.faults = {
            kind: [fault for fault in book.faults if fault.kind == kind] for kind in set(kinds)
        }
        self.causes = [cause.key for cause in book.causes]
        self.operations = [row.key for row in seams.operations("coat")][:30]
        self.keep(Customer, self.customers())
        self.keep(Garment, list(self.garments()))
        for garment in self.rows[Garment]:
            self.live(garment)
        for model in (StageEntry, Remake, CarryAnswer, Fitting, Observation, Alteration):
            self.keep(model, self.rows.pop(model, []))
        for model in (Judgement, CauseTaken, Ticket, TicketRevision, Answer):
            self.keep(model, self.rows.pop(model, []))
        for through in (Fitting.garments.through, Observation.alterations.through):
            self.keep(through, self.rows.pop(through, []))

    def keep(self, model: type, rows: list) -> None:
        model.objects.bulk_create(rows, batch_size=ROWS)
        if model in {Customer, Garment}:
            self.rows[model] = rows

    def add(self, model: type, **values: object) -> object:
        row = model(**values)
        self.rows.setdefault(model, []).append(row)
        return row

    def customers(self) -> list[Customer]:
        made, serial = [], 0
        for number in range(max(self.count // 4, 1)):
            text, serial = next_number("C", serial)
            made.append(Customer(number=text, serial=serial, family_name=f"Invented {number}"))
        return made

    def garments(self) -> Iterator[Garment]:
        serial = 0
        for _ in range(self.count):
            number, serial = next_number("G", serial)
            cut = self.draw.choice(self.cuts)
            left = self.now - DAY * self.draw.uniform(1, DAYS)
            customer = self.draw.choice(self.rows[Customer])
            pattern = self.draw.choice(["plain", "plain", "stripe", "check"])
            cutter = self.draw.choice(self.people["cutter"])
            promised = (left + DAY * self.draw.randint(-3, 10)).date()
            yield Garment(
                number=number,
                serial=serial,
                customer=customer,
                kind=cut.cut.kind,
                cut_version=cut,
                cloth="Grey worsted",
                cloth_pattern=pattern,
                cutter=cutter,
                ordered_on=(left - 90 * DAY).date(),
                promised_on=promised,
                promised_when_delivered=promised,
                stage="delivered",
                stage_since=left,
            )

    def live(self, garment: Garment) -> None:
        left, by = garment.stage_since, self.people["fitter"][0]
        for stage, days in STAGES.items():
            self.add(StageEntry, garment=garment, stage=stage, at=left - days * DAY, by=by)
        if self.draw.random() < 0.08:
            back = left + DAY * self.draw.randint(5, 120)
            self.add(StageEntry, garment=garment, stage="returned", at=back, by=by)
        if self.draw.random() < 0.04:
            self.add(Remake, replaces=garment, piece="forepart", reason="Short", by=by, at=left)
        if self.draw.random() < 0.3:
            self.carry(garment, left - 85 * DAY)
        before = None
        for purpose, days in LOOKS.items():
            before = self.look(garment, purpose, left - days * DAY, before)

    def carry(self, garment: Garment, at: datetime.datetime) -> None:
        taken = self.draw.random() < 0.7
        amounts = {
            "amount": Length(6_350_000),
            "proposed": Length(6_350_000),
            "count": 2,
            "sureness": "fairly",
        }
        self.add(
            CarryAnswer,
            garment=garment,
            operation="let-out",
            seam="side-seam",
            side="both",
            accepted=taken,
            reason="" if taken else "Another cut",
            at=at,
            by=self.people["fitter"][0],
            **amounts,
        )

    def look(
        self,
        garment: Garment,
        purpose: str,
        at: datetime.datetime,
        before: Alteration | None,
    ) -> Alteration:
        """One session of five observations, one alteration, and the judgement of the last one."""
        fitter = self.draw.choice(self.people["fitter"])
        about = {"garment": garment, "at": at, "by": fitter}
        fitting = self.add(
            Fitting, customer=garment.customer, fitter=fitter, purpose=purpose, started_at=at
        )
        self.add(Fitting.garments.through, fitting=fitting, garment=garment)
        seen = []
        for _ in range(5):
            fault = self.draw.choice(self.faults[garment.kind])
            clean = self.draw.random() < 0.5
            key = "" if clean else fault.key
            seen.append(self.add(Observation, fitting=fitting, zone=fault.zone, fault=key, **about))
        if self.draw.random() < 0.5:
            cause = self.draw.choice(self.causes)
            self.add(CauseTaken, fitting=fitting, cause=cause, **about)
        decided = self.add(
            Alteration,
            operation=self.draw.choice(self.operations),
            seam="side-seam",
            side="both",
            amount=Length(9_525_000),
            **about,
        )
        for row in seen[:2]:
            through = Observation.alterations.through
            self.add(through, observation=row, alteration=decided)
        self.ticket(garment, at)
        if before is not None:
            verdict = self.draw.choice(["cured", "cured", "better", "same"])
            self.add(
                Judgement, fitting=fitting, alteration=before, verdict=verdict, at=at, by=fitter
            )
        return decided

    def ticket(self, garment: Garment, at: datetime.datetime) -> None:
        fitter, maker = self.people["fitter"][0], self.draw.choice(self.people["maker"])
        last = self.rows.get(Ticket, [])
        number, serial = next_number("T", last[-1].serial if last else 0)
        ticket = self.add(Ticket, number=number, serial=serial, garment=garment)
        due = (at + 7 * DAY).date()
        revision = self.add(TicketRevision, ticket=ticket, due_on=due, at=at, by=fitter)
        self.add(Answer, revision=revision, kind="done", at=at + 3 * DAY, by=maker)
