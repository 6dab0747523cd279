"""The paper: what a ticket's revision says, and its rendering to PDF, one ticket or many."""

import datetime
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import segno
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from customers.lengths import Length
from garments import drawing, seams
from garments.models import Alteration, Cloth, Garment, TicketLine, TicketRevision

# A length kept in the other unit is rounded no coarser than a tape can show.
STEPS: dict[str, Fraction | Decimal] = {
    "in": Fraction(1, 16),
    "cm": Decimal("0.01"),
    "mm": Decimal("0.1"),
}
FINEST_INCH = Fraction(1, 64)


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

    @property
    def amount_and_side(self) -> str:
        # "1/4 in in all" is read twice before it is understood.
        comma = "," if self.amount and self.side == "in all" else ""
        return f"{self.amount}{comma} {self.side}".strip()


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
        shown = drawing.views(self.garment.kind)
        return [view.key for view in shown if drawing.lay_out(view, self.pins).pins]


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
    return "; ".join(_brief(line.operation, seams.seam(kind, line.seam)) for line in lines)


def _brief(operation_key: str, seam: seams.Seam) -> str:
    operation, at = seams.operation(operation_key).name, seam.name.lower()
    return operation if operation.lower().endswith(at) else f"{operation}, {at}"


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
        side=_side_words(alteration.side, seam, amount=bool(amount)),
        other=_text(amount, other) if amount else "",
        inlay=inlay,
        short=short,
    )


def _side_words(side: str, seam: seams.Seam, *, amount: bool) -> str:
    """On which side it is meant, in words that never leave it to be guessed."""
    if side:
        both = "each side" if amount else "both sides"
        return {"L": "left side only", "R": "right side only"}.get(side, both)
    if not amount:
        return ""
    return "each side of the seam" if seam.halves else "in all"


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
    revisions: Iterable[TicketRevision], *, unit: str, address: Callable[[str, int], str]
) -> bytes:
    """The PDF of the revisions, each beginning a page of its own and counting its own pages.

    ``address`` gives the absolute address that the QR holds, from number and revision. The
    revisions come from ``queries.for_paper``.
    """
    # WeasyPrint takes a second to load, and most commands and pages never print.
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    from customers.closed_fetcher import ClosedFetcher  # noqa: PLC0415

    fetcher, fonts = ClosedFetcher(), FontConfiguration()
    style = CSS(url="static:print/ticket.css", url_fetcher=fetcher, font_config=fonts)
    documents = []
    for revision in revisions:
        paper = _paper(revision, unit, address)
        html = render_to_string("workroom/ticket_paper.html", {"paper": paper})
        page = HTML(string=html, url_fetcher=fetcher)
        documents.append(page.render(stylesheets=[style], font_config=fonts))
    if not documents:
        raise ValueError("There is no ticket to print.")
    # One document for each ticket, so that page 1 of 2 is counted within it.
    pages = [page for document in documents for page in document.pages]
    pdf: bytes = documents[0].copy(pages).write_pdf()
    return pdf


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
    return Line(
        position=line.position,
        words=alteration_words(alteration, line.inlay_before, line.inlay_after, garment.kind, unit),
        why=alteration.why,
        cautions=seams.operation(alteration.operation).warnings,
        struck=not alteration.stands,
        pin=drawing.Pin(alteration.seam, alteration.side, line.position),
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
    code: Any = segno.make(address, error="q", micro=False)
    svg: str = code.svg_inline(border=4, omitsize=True, svgclass=None, lineclass=None)
    return mark_safe(svg)  # noqa: S308 - drawn by segno: one path, no text of ours
