"""The paper read back: its words by pypdf, its QR from the rendered page by zxing-cpp."""

import io
import re
import uuid

import pypdfium2
import pytest
import zxingcpp
from pypdf import PdfReader

from garments.altering import strike_alteration
from garments.models import TicketRevision
from garments.tickets import brief, render_tickets
from garments.workroom.queries import for_paper
from garments.workroom.services import answer_ticket

pytestmark = pytest.mark.django_db

# ISO 216: A5 is 148 mm by 210 mm; a point is 25.4/72 mm.
A5 = (round(148 / 25.4 * 72, 2), round(210 / 25.4 * 72, 2))
TWELVE = [
    ("pass-up", "side-seam", "both", "1/4"),
    ("sink-neck", "back-neck", "", "1/4"),
    ("deepen-scye", "scye", "R", "1/8"),
    ("rotate-sleeve-forward", "sleeve-head", "both", "3/16"),
    ("take-in", "hindarm", "both", "1/8"),
    ("raise-hem", "hem", "both", "1/2"),
    ("move-buttons-out", "buttons", "", "3/8"),
    ("take-in", "underarm-seam", "L", "1/4"),
    ("shorten-collar", "collar-seam", "", "1/4"),
    ("narrow-shoulder", "scye", "L", "1/4"),
    ("release-lining", "lining", "both", None),
    ("lengthen-cuff", "cuff", "both", "3/4"),
]


def address(number, revision):
    return f"https://house.example/workroom/t/{number}/{revision}/"


def print_out(*revisions, unit="in"):
    rows = for_paper(TicketRevision.objects.filter(pk__in=[row.pk for row in revisions]))
    return render_tickets(rows, unit=unit, address=address)


def pages_of(pdf):
    texts = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    return [[line.strip() for line in text.splitlines()] for text in texts]


def codes_of(pdf):
    """What a reader of QR codes sees on each page, at the 150 dots to the inch of a plain scan."""
    document = pypdfium2.PdfDocument(pdf)
    pictures = [page.render(scale=150 / 72).to_pil() for page in document]
    return [[code.text for code in zxingcpp.read_barcodes(picture)] for picture in pictures]


def test_paper_is_one_upright_a5_page(revision):
    pages = PdfReader(io.BytesIO(print_out(revision))).pages

    sizes = [(round(page.mediabox.width, 2), round(page.mediabox.height, 2)) for page in pages]
    assert sizes == [A5]


def test_paper_says_the_amounts_in_working_order(revision):
    lines = pages_of(print_out(revision))[0]

    assert [line for line in lines if " each side " in line] == [
        "3/8 in each side · 9.5 mm · both edges",
        "1/2 in each side · 12.7 mm",
    ]
    assert "1 Let out · side seam · inlay 1 in before, 5/8 in after" in lines
    assert "Tight over the seat" in lines


def test_paper_in_centimetres_says_inches_small(revision):
    lines = pages_of(print_out(revision, unit="cm"))[0]

    assert [line for line in lines if " each side " in line] == [
        "0.95 cm each side · 3/8 in · both edges",
        "1.27 cm each side · 1/2 in",
    ]


def test_paper_heads_with_number_day_and_garment(revision, coat):
    lines = pages_of(print_out(revision))[0]

    assert lines[:3] == [
        f"{revision.ticket.number} revision 1",
        f"due {revision.due_on:%A %-d %B %Y}",
        f"Coat {coat.number} · {coat.customer.family_name}",
    ]


def test_paper_gives_no_more_of_the_person_than_the_family_name(revision, coat):
    text = "\n".join(pages_of(print_out(revision))[0])

    customer = coat.customer
    assert [
        word for word in (customer.given_name, customer.phone, customer.number) if word in text
    ] == []


def test_paper_carries_its_address_as_a_code(revision):
    assert codes_of(print_out(revision)) == [[address(revision.ticket.number, 1)]]


def test_paper_code_survives_a_worn_corner(revision):
    picture = pypdfium2.PdfDocument(print_out(revision))[0].render(scale=200 / 72).to_pil()
    found = zxingcpp.read_barcodes(picture)[0].position
    # The corner without a mark is rubbed off. Level Q restores about a quarter (ISO/IEC 18004).
    corner = found.bottom_right
    side = (corner.x - found.top_left.x) // 6
    picture.paste("white", (corner.x - side, corner.y - side, corner.x, corner.y))

    assert [code.text for code in zxingcpp.read_barcodes(picture)] == [
        address(revision.ticket.number, 1)
    ]


def test_paper_of_a_short_inlay_says_to_ask(issue, decide):
    ticket = issue(decide("let-out", "side-seam", "both", "1 1/4"))

    lines = pages_of(print_out(ticket.revisions.get()))[0]

    assert "NOT ENOUGH INLAY: ask inlay 1 in, 3/8 in must stay" in lines
    assert not [line for line in lines if "-1/4" in line]


def test_paper_of_checked_cloth_says_so_once(make_garment, issue, decide):
    coat = make_garment(cloth_pattern="check")
    lines = [decide("let-out", seam, "both", "1/8", garment=coat) for seam in ("side-seam", "vent")]

    text = pages_of(print_out(issue(*lines, garment=coat).revisions.get()))[0]

    assert len([line for line in text if line.startswith("Check. Checks or stripes")]) == 1


def test_paper_shows_hostile_words_as_words(issue, decide):
    hostile = "<img src=file:///etc/passwd> & {{ paper }}"
    ticket = issue(decide("let-out", "side-seam", "both", "3/8", why=hostile), note=hostile)

    lines = pages_of(print_out(ticket.revisions.get()))[0]

    assert [line for line in lines if "<img" in line] == [hostile, f"Note {hostile}"]


def test_paper_of_twelve_lines_goes_on_to_further_pages(issue, decide, coat, tomorrow):
    ticket = issue(*[decide(*line) for line in TWELVE])

    first, *others = pages_of(print_out(ticket.revisions.get()))

    name, due = coat.customer.family_name, f"{tomorrow:%a %-d %b}"
    assert first[-1] == "page 1 of 3"
    assert [page[-1] for page in others] == [
        f"{ticket.number} · revision 1 · coat {coat.number} · {name} · {due} page {n} of 3"
        for n in (2, 3)
    ]


def test_paper_of_twelve_lines_breaks_between_lines(issue, decide):
    ticket = issue(*[decide(*line) for line in TWELVE])

    pages = pages_of(print_out(ticket.revisions.get()))

    heads = [line for page in pages for line in page if re.match(r"\d+ [A-Z].* · ", line)]
    assert [int(line.split()[0]) for line in heads] == list(range(1, 13))


def test_paper_of_a_new_revision_says_what_it_replaces(changed):
    pdf = print_out(changed)

    assert pages_of(pdf)[0][4:6] == [
        "Revision 2 replaces revision 1: destroy the old copy.",
        "The hem stays",
    ]
    assert codes_of(pdf) == [[address(changed.ticket.number, 2)]]


def test_paper_of_a_replaced_revision_says_so(revision, changed):
    pdf = print_out(revision)

    assert " ".join(pages_of(pdf)[0][4:6]) == (
        "REPLACED by revision 2: do not work by this copy, destroy it."
    )
    assert codes_of(pdf) == [[address(revision.ticket.number, 1)]]


def test_paper_marks_a_line_struck_out_since(revision, bench, fitter):
    answer_ticket(entry_id=uuid.uuid4(), revision=revision, kind="asks", reason="?", by=bench)
    hem = revision.lines.get(position=2).alteration
    strike_alteration(entry_id=uuid.uuid4(), alteration=hem, by=fitter)

    lines = pages_of(print_out(revision))[0]

    assert len([line for line in lines if "STRUCK OUT: do not do this line." in line]) == 1


@pytest.mark.parametrize("kind", ["coat", "waistcoat", "trousers", "overcoat"])
def test_paper_draws_every_kind_of_garment(kind, make_garment, issue, decide):
    garment = make_garment(kind=kind)
    ticket = issue(decide("raise-hem", "hem", "both", "1/4", garment=garment), garment=garment)

    lines = pages_of(print_out(ticket.revisions.get()))[0]

    # The number of the line stands at each hem of the drawing.
    assert lines.count("1") >= 2


def test_papers_cost_the_same_queries_for_one_and_three(
    make_garment, issue, decide, django_assert_num_queries
):
    revisions = []
    for _ in range(3):
        coat = make_garment()
        line = decide("raise-hem", "hem", "both", "1/4", garment=coat)
        revisions.append(issue(line, garment=coat).revisions.get())

    with django_assert_num_queries(3):
        print_out(revisions[0])
    with django_assert_num_queries(3):
        print_out(*revisions)


def test_render_refuses_no_ticket_at_all():
    with pytest.raises(ValueError, match="no ticket to print"):
        render_tickets([], unit="in", address=address)


@pytest.mark.parametrize(
    ("house_address", "start"),
    [("", "http://testserver"), ("https://ledger.example", "https://ledger.example")],
)
def test_printed_code_leads_to_the_house_address(
    as_bench, revision, settings, house_address, start
):
    settings.ADDRESS = house_address
    number = revision.ticket.number

    response = as_bench.get(f"/workroom/{number}/1/ticket.pdf")

    assert codes_of(response.content) == [[f"{start}/workroom/t/{number}/1/"]]


def test_ticket_in_one_line_parts_seam_from_operation(revision):
    assert brief(for_paper(TicketRevision.objects.filter(pk=revision.pk))[0]) == (
        "Let out, side seam; Let down hem"
    )
