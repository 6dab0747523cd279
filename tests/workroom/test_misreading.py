"""Twenty tickets of every kind of work, printed, and read back as a stranger would read them.

The words on the paper (pypdf) and in its codes (zxing-cpp) against the rows of the ledger; lengths
by pint, 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
"""

import io
import re
from fractions import Fraction
from itertools import cycle, islice

import pint
import pypdfium2
import pytest
import zxingcpp
from pypdf import PdfReader

from garments import seams
from garments.models import TicketRevision
from garments.tickets import LABEL, TICKET, render_tickets
from garments.workroom.queries import for_paper

pytestmark = pytest.mark.django_db

INCH = pint.UnitRegistry()("inch").to("nanometre").magnitude
LINES_OF_A_TICKET = 3
# A line of work and, below it, its amount: "3/8 in each side · 9.5 mm", "1 1/4 in, in all".
AMOUNT = re.compile(r"^((?:\d+ )?\d+(?:/\d+)?) in,? ((?:each side|in all)[^·]*?)(?: · .*)?$")
SIDES = {"L": ["left"], "R": ["right"]}


def work():
    """Every operation that takes an amount, on every kind, its sides by turns."""
    amounts, sides = cycle(range(1, 40)), cycle(("L", "R", "both"))
    for kind in seams.KINDS:
        for operation in seams.operations(kind):
            if operation.takes_amount:
                at = operation.default_seam(kind)
                sided = seams.needs_side(kind, operation.key, at)
                eighths = Fraction(next(amounts), 8)
                whole, rest = divmod(eighths, 1)
                text = f"{whole or ''} {rest or ''}".strip()
                yield kind, (operation.key, at, next(sides) if sided else "", text)


@pytest.fixture
def tickets(make_garment, issue, decide):
    """Twenty revisions of three lines each, of garments of every kind."""
    by_kind = {}
    for kind, line in work():
        by_kind.setdefault(kind, []).append(line)
    revisions = []
    for kind, lines in by_kind.items():
        for batch in islice(zip(*[iter(lines)] * LINES_OF_A_TICKET, strict=False), 5):
            garment = make_garment(kind=kind)
            rows = [decide(*line, garment=garment) for line in batch]
            revisions.append(issue(*rows, garment=garment).revisions.get())
    return revisions


def printed(revisions, sheet=TICKET):
    rows = for_paper(TicketRevision.objects.filter(pk__in=[row.pk for row in revisions]))
    return render_tickets(
        rows,
        unit="in",
        address=lambda number, revision: f"https://house.example/workroom/t/{number}/{revision}/",
        sheet=sheet,
    )


def read_back(pdf):
    """By ticket number what stands on its pages: amounts in nanometres, and the sides named."""
    found = {}
    for page in PdfReader(io.BytesIO(pdf)).pages:
        lines = [line.strip() for line in page.extract_text().splitlines()]
        number = next(m[0] for line in lines if (m := re.match(r"T\d+-\w", line)))
        amounts = [m.groups() for line in lines if (m := AMOUNT.match(line))]
        found.setdefault(number, []).extend(
            (nanometres(text), re.findall("left|right", side)) for text, side in amounts
        )
    return found


def nanometres(text):
    return round(sum(Fraction(part) for part in text.split()) * Fraction(round(INCH)))


def kept(revisions):
    return {
        row.ticket.number: [
            (line.alteration.amount.nm, SIDES.get(line.alteration.side, []))
            for line in row.lines.all()
        ]
        for row in revisions
    }


@pytest.mark.parametrize("sheet", [TICKET, LABEL], ids=["ticket", "label"])
def test_twenty_tickets_read_back_exactly(tickets, sheet):
    assert len(tickets) == 20

    assert read_back(printed(tickets, sheet)) == kept(tickets)


def test_twenty_tickets_carry_their_own_codes(tickets):
    document = pypdfium2.PdfDocument(printed(tickets, LABEL))

    pictures = [page.render(scale=150 / 72).to_pil() for page in document]

    codes = [code.text for picture in pictures for code in zxingcpp.read_barcodes(picture)]
    assert codes == [
        f"https://house.example/workroom/t/{row.ticket.number}/1/"
        for row in for_paper(TicketRevision.objects.all())
    ]


def test_drawing_says_the_amount_where_the_line_goes(issue, decide):
    ticket = issue(
        decide("let-out", "side-seam", "L", "1 1/4"), decide("raise-hem", "hem", "both", "1/2")
    )

    (page,) = PdfReader(io.BytesIO(printed([ticket.revisions.get()]))).pages

    text = " ".join(page.extract_text().split())
    assert text.count("1 1/4 in each side of the seam, left only let out") == 1
    assert text.count("1/2 in each side up") == 2
