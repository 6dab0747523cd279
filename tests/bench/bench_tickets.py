"""Budgets (design): a ticket as PDF at most 1.5 times WeasyPrint's own time for the same page as
static HTML; forty in one document at most 0.6 of forty single ones.
"""

import datetime

import pytest
from django.template.loader import render_to_string
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration

from customers.closed_fetcher import ClosedFetcher
from customers.lengths import parse
from garments.models import Ticket, TicketLine, TicketRevision
from garments.tickets import LABEL, TICKET, _handed, _papers, render_tickets
from garments.workroom.queries import for_paper
from tests.factories import AlterationFactory, GarmentFactory, UserFactory

STATIC, MANY = 1.5, 0.6
TURNS = 7
FORTY = 40
WORK = [
    ("let-out", "side-seam"),
    ("pass-up", "side-seam"),
    ("raise-hem", "hem"),
    ("take-in", "hindarm"),
]

pytestmark = pytest.mark.django_db


def address(number, revision):
    return f"https://house.example/workroom/t/{number}/{revision}/"


@pytest.fixture
def revisions():
    """Forty tickets of four lines."""
    fitter, made = UserFactory(role="fitter"), []
    for serial in range(1, FORTY + 1):
        garment = GarmentFactory()
        ticket = Ticket.objects.create(number=f"T{serial}", serial=serial, garment=garment)
        due_on = datetime.date(2030, 1, 7)
        made.append(TicketRevision.objects.create(ticket=ticket, due_on=due_on, by=fitter))
        for position, (operation, seam) in enumerate(WORK, 1):
            line = AlterationFactory(
                garment=garment, operation=operation, seam=seam, side="both", amount=parse("3/8")
            )
            TicketLine.objects.create(revision=made[-1], position=position, alteration=line)
    return [row.pk for row in made]


def printed(keys, sheet=TICKET):
    rows = for_paper(TicketRevision.objects.filter(pk__in=keys))
    return render_tickets(rows, unit="in", address=address, sheet=sheet)


@pytest.mark.parametrize("sheet", [TICKET, LABEL], ids=["A5", "label"])
def test_ticket_takes_little_more_than_its_static_page(revisions, compare, sheet):
    rows = list(for_paper(TicketRevision.objects.filter(pk=revisions[0])))
    (paper,) = _papers(rows, "in", address, pictured=False)
    page = render_to_string(sheet[0], {"paper": paper})
    handed = _handed(paper, drawn=sheet == TICKET)

    def static():
        fonts, fetcher = FontConfiguration(), ClosedFetcher(handed)
        style = CSS(url=sheet[1], url_fetcher=fetcher, font_config=fonts)
        HTML(string=page, url_fetcher=fetcher).write_pdf(stylesheets=[style], font_config=fonts)

    name = f"one ticket, {sheet[0]}"
    ratio = compare(name, lambda: printed(revisions[:1], sheet), static, turns=TURNS * 2)
    assert ratio <= STATIC


def test_forty_in_one_take_less_than_forty_single(revisions, compare):
    def single():
        for key in revisions:
            printed([key])

    assert (
        compare("40 tickets in one, and 40 singly", lambda: printed(revisions), single, turns=3)
        <= MANY
    )
