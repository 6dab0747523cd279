"""The paper: what a ticket's revision says, and its rendering to PDF, one ticket or many."""

import datetime
import io
import textwrap
import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

import segno
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from customers.lengths import Length
from garments import drawing, seams
from garments.models import Alteration, Cloth, Garment, TicketLine, TicketRevision
from garments.pictures import Picture, pinned_for
from garments.seams.ways import STILL, Way, side_words, way_of
from garments.templatetags.drawing import garment_drawing

# A length kept in the other unit is rounded no coarser than a tape can show.
STEPS: dict[str, Fraction | Decimal] = {
    "in": Fraction(1, 16),
    "cm": Decimal("0.01"),
    "mm": Decimal("0.1"),
}
FINEST_INCH = Fraction(1, 64)
ROW_LETTERS = 9  # of a row beside the drawing: two drawings stand side by side on A5
PRINTED = 36  # mm, the height of a garment drawn on a ticket
MOST_PICTURES = 4  # on a ticket: two rows, so that the lines of work stay what is seen first

# The sheets a ticket is printed on: its template and its style.
TICKET = ("workroom/ticket_paper.html", "static:print/ticket.css")
LABEL = ("workroom/ticket_label.html", "static:print/label.css")


@dataclass(frozen=True, slots=True)
class Words:
    """An alteration as it is read: ``amount`` in the house's unit, ``side`` on which it is meant.

    ``other`` is the same amount in the other unit; both are empty where no amount is taken.
    ``inlay`` is empty where the seam holds none; ``short`` says that it is not enough.
    """

    operation: str
    does: str
    seam: str
    amount: str
    side: str
    other: str
    inlay: str
    short: bool
    way: Way = STILL

    @property
    def edges(self) -> str:
        """Said where the line moves on both edges, so that nobody halves the amount."""
        told = not self.amount or "of the seam" in self.side
        return "" if told or self.way.edges == 1 else "both edges"

    @property
    def beside_the_drawing(self) -> tuple[str, ...]:
        """The amount, on which side, and which way, in short rows; nothing without an amount."""
        if not self.amount:
            return ()
        # A wider space: "1 1/4" is not drawn as a fraction here and must not run together.
        amount = self.amount.replace(" ", "\u2002", self.amount.count(" ") - 1)
        return (amount, *textwrap.wrap(self.side, ROW_LETTERS), self.way.word)

    @property
    def amount_and_side(self) -> str:
        # "1/4 in in all" is read twice before it is understood.
        comma = "," if self.amount_comes_first else ""
        return f"{self.amount}{comma} {self.side}".strip()

    @property
    def amount_comes_first(self) -> bool:
        return bool(self.amount) and self.side.startswith("in all")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a ticket. ``struck`` when it was struck out after the ticket was issued."""

    position: int
    words: Words
    why: str
    cautions: tuple[str, ...]
    struck: bool
    pin: drawing.Pin


@dataclass(frozen=True, slots=True)
class Pinned:
    """A photograph on a ticket; ``marks`` are the numbers of its lines with where they lie."""

    picture: Picture
    marks: tuple[tuple[int, float, float], ...]

    @property
    def radius(self) -> float:
        """Of a mark, in points of the picture: 2 mm and more when printed 60 mm wide."""
        return round(max(self.picture.width, self.picture.height) * 0.038, 1)

    @property
    def inner(self) -> float:
        return round(self.radius * 0.84, 1)

    @property
    def type_size(self) -> float:
        return round(self.radius * 1.2, 1)

    @property
    def drop(self) -> float:
        """From the middle of a mark down to the base line of its figure."""
        return round(self.type_size * 0.36, 1)


@dataclass(frozen=True, slots=True)
class Paper:
    """One revision of a ticket, ready to print. ``replaced_by`` is 0 while it holds."""

    number: str
    revision: int
    replaces: int
    replaced_by: int
    garment: Garment
    family_name: str
    due_on: datetime.date
    note: str
    reason: str
    lines: tuple[Line, ...]
    qr: SafeString
    pictures: tuple["Pinned", ...] = ()
    more_pictures: int = 0

    @property
    def pins(self) -> list[drawing.Pin]:
        return [line.pin for line in self.lines]

    @property
    def matching(self) -> str:
        """What a stripe or check asks of the bench; empty for plain cloth."""
        # Of all that can stop an operation the ledger itself knows only the pattern of the cloth.
        plain = self.garment.cloth_pattern == Cloth.PLAIN
        return "" if plain else seams.block_reason("checks")

    @property
    def views(self) -> list[str]:
        """The views of the garment that have a place marked."""
        return [view.key for view in drawing.pinned_views(self.garment.kind, self.pins)]

    @property
    def upright(self) -> bool:
        """Whether a ring on a drawing needs explaining: forward or back at the middle line."""
        shown = drawing.pinned_views(self.garment.kind, self.pins)
        pins = [pin for view in shown for pin in drawing.lay_out(view, self.pins).pins]
        return any("A" in pin.arrow for pin in pins)


def read_lines(revision: TicketRevision, unit: str) -> tuple[Line, ...]:
    """The lines of a revision in words, amounts in ``unit`` (``in`` or ``cm``)."""
    garment = revision.ticket.garment
    lines = [_read_line(line, garment, unit) for line in revision.lines.all()]
    said: set[str] = set()
    return tuple(_without_repeats(line, said) for line in lines)


def brief(revision: TicketRevision) -> str:
    """The work of a ticket in one line: ``Let out, side seam; Let down hem``."""
    kind = revision.ticket.garment.kind
    lines = [line.alteration for line in revision.lines.all()]
    return "; ".join(seams.work_name(kind, line.operation, line.seam) for line in lines)


def alteration_words(
    alteration: Alteration, before: Length | None, after: Length | None, kind: str, unit: str
) -> Words:
    """What an alteration of a garment of this ``kind`` says, with the inlay before and after it."""
    operation = seams.operation(alteration.operation)
    seam = seams.seam(kind, alteration.seam)
    amount, other = alteration.amount, "mm" if unit == "in" else "in"
    inlay, short = _inlay_words(before, after, seam.keep, unit)
    return Words(
        operation=operation.name,
        does=operation.does,
        seam=seam.name.lower(),
        amount=_text(amount, unit) if amount else "",
        side=_side_words(alteration.side, operation, seam, amount=bool(amount)),
        other=_text(amount, other) if amount else "",
        inlay=inlay,
        short=short,
        way=way_of(operation),
    )


def _side_words(side: str, operation: seams.Operation, seam: seams.Seam, *, amount: bool) -> str:
    """On which side it is meant, in words that never leave it to be guessed."""
    if amount:
        return side_words(operation, seam, side)
    return {"L": "left side only", "R": "right side only", "both": "both sides"}.get(side, "")


def _inlay_words(
    before: Length | None, after: Length | None, keep: Length, unit: str
) -> tuple[str, bool]:
    """The inlay before and after, and whether it falls short; never one below nothing."""
    if before is None or after is None:
        return "", False
    now = f"inlay {_text(before, unit)}" if before.nm > 0 else "no inlay"
    if after == before:
        return f"{now}, not touched", False
    if after < before and after < keep:
        left = f" {_text(after, unit)} left," if after.nm >= 0 else ""
        return f"{now},{left} {_text(keep, unit)} must stay", True
    return f"{now} before, {_text(max(after, Length(0)), unit)} after", False


def render_tickets(
    revisions: Iterable[TicketRevision],
    *,
    unit: str,
    address: Callable[[str, int], str],
    sheet: tuple[str, str] = TICKET,
) -> bytes:
    """The PDF of the revisions, each beginning a page of its own and counting its own pages.

    ``address`` gives the absolute address that the QR holds, from number and revision. The
    revisions come from ``queries.for_paper``; ``sheet`` is TICKET (A5) or LABEL (100 by 150 mm).
    """
    # WeasyPrint takes a second to load, and most commands and pages never print.
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    from customers.closed_fetcher import ClosedFetcher  # noqa: PLC0415

    template, looks = sheet
    papers = _papers(list(revisions), unit, address, pictured=sheet == TICKET)
    if not papers:
        raise ValueError("There is no ticket to print.")
    fonts = FontConfiguration()
    style = CSS(url=looks, url_fetcher=ClosedFetcher(), font_config=fonts)
    documents = []
    for paper in papers:
        html = render_to_string(template, {"paper": paper})
        page = HTML(string=html, url_fetcher=ClosedFetcher(_handed(paper, drawn=sheet == TICKET)))
        documents.append(page.render(stylesheets=[style], font_config=fonts))
    # One document for each ticket, so that page 1 of 2 is counted within it.
    pages = [page for document in documents for page in document.pages]
    pdf: bytes = documents[0].copy(pages).write_pdf()
    return pdf


def _handed(paper: Paper, *, drawn: bool) -> dict[str, bytes]:
    """The pictures of a paper by name: its own garment's photographs and no other's, its drawings.

    Drawings are handed over as files: inside the page each of their hundreds of lines would be
    looked up in the style sheet, which is three tenths of a ticket's time.
    """
    pictures = {f"photo:{each.picture.key}": each.picture.jpeg for each in paper.pictures}
    drawings = {f"drawing:{view}": _drawing(paper, view) for view in paper.views if drawn}
    return pictures | drawings | {"drawing:qr": paper.qr.encode()}


def _drawing(paper: Paper, view: str) -> bytes:
    parts = garment_drawing(paper.garment.kind, view, pins=paper.pins, printed=PRINTED)
    return render_to_string("drawings/garment.svg", parts).encode()


def _papers(
    revisions: list[TicketRevision],
    unit: str,
    address: Callable[[str, int], str],
    *,
    pictured: bool,
) -> list[Paper]:
    lines = [line.alteration_id for row in revisions for line in row.lines.all()]
    pictures = pinned_for(lines) if pictured else {}
    return [_with_pictures(_paper(row, unit, address), row, pictures) for row in revisions]


def _with_pictures(
    paper: Paper, revision: TicketRevision, pictures: Mapping[int, list[Picture]]
) -> Paper:
    numbers: dict[uuid.UUID, int] = {
        line.alteration_id: line.position for line in revision.lines.all()
    }
    found = [
        Pinned(picture, marks)
        for picture in pictures.get(paper.garment.pk, ())
        if (marks := _marks(picture, numbers))
    ]
    shown = tuple(found[:MOST_PICTURES])
    return replace(paper, pictures=shown, more_pictures=len(found) - len(shown))


def _marks(
    picture: Picture, numbers: Mapping[uuid.UUID, int]
) -> tuple[tuple[int, float, float], ...]:
    return tuple(
        (
            numbers[mark.alteration],
            round(mark.x * picture.width / 1000, 1),
            round(mark.y * picture.height / 1000, 1),
        )
        for mark in picture.marks
        if mark.alteration in numbers
    )


def _paper(revision: TicketRevision, unit: str, address: Callable[[str, int], str]) -> Paper:
    ticket = revision.ticket
    replaced: TicketRevision | None = getattr(revision, "strikes", None)
    later: TicketRevision | None = getattr(revision, "struck_by", None)
    return Paper(
        number=ticket.number,
        revision=revision.revision,
        replaces=replaced.revision if replaced else 0,
        replaced_by=later.revision if later else 0,
        garment=ticket.garment,
        # A ticket lies about on the bench and goes to outworkers: whose coat it is must be found by
        # the family name, and nothing more of the person is on it.
        family_name=ticket.garment.customer.family_name,
        due_on=revision.due_on,
        note=revision.note,
        reason=revision.reason,
        lines=read_lines(revision, unit),
        qr=qr(address(ticket.number, revision.revision)),
    )


def _read_line(line: TicketLine, garment: Garment, unit: str) -> Line:
    alteration = line.alteration
    words = alteration_words(alteration, line.inlay_before, line.inlay_after, garment.kind, unit)
    return Line(
        position=line.position,
        words=words,
        why=alteration.why,
        cautions=seams.operation(alteration.operation).warnings,
        struck=not alteration.stands,
        pin=drawing.Pin(
            alteration.seam,
            alteration.side,
            line.position,
            words.way.sign,
            words.beside_the_drawing,
        ),
    )


def _without_repeats(line: Line, said: set[str]) -> Line:
    """The line with only those cautions that no line before it has given."""
    fresh = tuple(caution for caution in line.cautions if caution not in said)
    said.update(fresh)
    return replace(line, cautions=fresh)


def _text(length: Length, unit: str) -> str:
    exact = unit == "in" and length.rounded(unit, FINEST_INCH) == length
    return length.text(unit, FINEST_INCH if exact else STEPS[unit])


def qr(address: str) -> SafeString:
    """The code that leads to an address, drawn for paper."""
    # Level Q stands a quarter of the code being worn off; the border is the quiet zone it needs.
    code, drawn = segno.make(address, error="q", micro=False), io.BytesIO()
    looks = {"border": 4, "omitsize": True, "svgclass": None, "lineclass": None}
    code.save(drawn, kind="svg", xmldecl=False, **looks)
    return mark_safe(drawn.getvalue().decode())  # noqa: S308 - drawn by segno: one path, no text of ours
