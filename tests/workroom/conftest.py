"""A coat with its inlays, what was decided on it, and a ticket for it."""

import datetime
import uuid

import pytest
from django.utils import timezone

from customers.lengths import parse
from garments import seams
from garments.models import InlayMovement
from garments.workroom.services import issue_ticket, revise_ticket
from tests.factories import AlterationFactory, GarmentFactory, UserFactory


@pytest.fixture
def fitter(db):
    return UserFactory(role="fitter")


@pytest.fixture
def bench(db):
    return UserFactory(role="workroom")


@pytest.fixture
def make_garment(fitter):
    """A garment with the inlays normally left in it."""

    def make(**values):
        garment = GarmentFactory(**values)
        InlayMovement.objects.bulk_create(
            InlayMovement(
                garment=garment, seam=seam, side=side, amount=left, reason="left", by=fitter
            )
            for (seam, side), left in seams.normal_inlays(garment.kind).items()
        )
        return garment

    return make


@pytest.fixture
def coat(make_garment):
    return make_garment(stage="first-fitting", customer__family_name="Marrowby")


@pytest.fixture
def decide(coat, fitter):
    """An alteration as decided: ``decide("let-out", "side-seam", "both", "3/8")``."""

    def make(operation, seam, side="", amount=None, garment=coat, **values):
        length = parse(amount) if amount else None
        return AlterationFactory(
            garment=garment,
            operation=operation,
            seam=seam,
            side=side,
            amount=length,
            by=fitter,
            **values,
        )

    return make


@pytest.fixture
def tomorrow():
    return timezone.localdate() + datetime.timedelta(days=1)


@pytest.fixture
def issue(coat, fitter, tomorrow):
    """A ticket issued for the alterations given."""

    def make(*alterations, garment=coat, due_on=tomorrow, note=""):
        return issue_ticket(
            form_id=uuid.uuid4(),
            garment=garment,
            alterations=alterations,
            due_on=due_on,
            note=note,
            by=fitter,
        )

    return make


@pytest.fixture
def revision(issue, decide):
    """The first revision of a ticket of two lines: side seams out, hem down."""
    ticket = issue(
        decide("let-down-hem", "hem", "both", "1/2"),
        decide("let-out", "side-seam", "both", "3/8", why="Tight over the seat"),
    )
    return ticket.revisions.get()


@pytest.fixture
def changed(revision, fitter, tomorrow):
    """The second revision of that ticket: the side seams alone."""
    return revise_ticket(
        entry_id=uuid.uuid4(),
        ticket=revision.ticket,
        alterations=[revision.lines.first().alteration],
        due_on=tomorrow,
        note="",
        reason="The hem stays",
        by=fitter,
    )


@pytest.fixture
def make_tickets(make_garment, issue, decide):
    """As many tickets of as many garments, all due on one day."""

    def make(count, **given):
        tickets = []
        for _ in range(count):
            garment = make_garment(stage="first-fitting")
            lines = [
                decide("raise-hem", "hem", "both", "1/4", garment=garment),
                decide("let-out", "side-seam", "both", "1/8", garment=garment),
            ]
            tickets.append(issue(*lines, garment=garment, **given))
        return tickets

    return make


@pytest.fixture
def as_fitter(client, fitter):
    client.force_login(fitter)
    return client


@pytest.fixture
def as_bench(client, bench):
    client.force_login(bench)
    return client
