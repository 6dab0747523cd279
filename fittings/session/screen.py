"""The fitting screen as plain values, ready for its templates: no template asks a question."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from customers.lengths import Length
from fittings import catalogue
from fittings.housebook.queries import house_catalogue
from fittings.models import Booking, Observation
from fittings.session import looking
from garments import seams
from garments.models import Alteration, Garment
from garments.workroom.due import SATURDAY

SIDE_WORDS = {"": "", "L": "left", "R": "right", "both": "both sides"}
SHORT_SIDES = (("L", "left"), ("both", "both"), ("R", "right"))
# The keys of the amount row by unit: the text sent, the text shown, the text spoken.
AMOUNTS: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    "in": (
        ("1/8 in", "⅛", "one eighth"),
        ("1/4 in", "¼", "one quarter"),
        ("3/8 in", "⅜", "three eighths"),
        ("1/2 in", "½", "one half"),
        ("5/8 in", "⅝", "five eighths"),
        ("3/4 in", "¾", "three quarters"),
        ("7/8 in", "⅞", "seven eighths"),
        ("1 in", "1", "one inch"),
        ("1 1/4 in", "1¼", "one and a quarter inches"),
        ("1 1/2 in", "1½", "one and a half inches"),
    ),
    "cm": tuple(
        (f"{text} cm", text, f"{text} centimetres")
        for text in ("0.3", "0.5", "0.8", "1", "1.5", "2", "2.5", "3", "3.5", "4")
    ),
}
GLYPHS = {"1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞"}
NEXT_PURPOSE = {"alter": Booking.Purpose.FORWARD, "finish": Booking.Purpose.FINAL}


Inlays = Mapping[tuple[str, str], Length]


class Work(NamedTuple):
    """What is done, where and on which side: the alteration without its amount."""

    operation: str
    seam: str
    side: str


@dataclass(frozen=True)
class Tile:
    """One fault to touch. ``sides`` are (value, words); a fault without sides has one value."""

    fault: catalogue.Fault
    sides: Sequence[tuple[str, str]]

    @property
    def value(self) -> str:
        return f"{self.fault.key}:"


@dataclass(frozen=True)
class Mark:
    """What was found at a zone on one side, as the drawing takes it."""

    state: str
    count: int = 0
    side: str = ""


@dataclass(frozen=True)
class ZonePanel:
    """A zone and what was said of it so far.

    ``left``, ``right`` and ``whole`` count the faults that stand, by where they were seen.
    """

    zone: catalogue.Zone
    left: int = 0
    right: int = 0
    whole: int = 0
    clean: bool = False

    @property
    def faults(self) -> int:
        return self.left + self.right + self.whole

    @property
    def state(self) -> str:
        return "fault" if self.faults else "clean" if self.clean else ""

    @property
    def state_words(self) -> str:
        if self.faults:
            return "1 fault" if self.faults == 1 else f"{self.faults} faults"
        return "clean" if self.clean else "not looked at"

    @property
    def marks(self) -> tuple[Mark, ...]:
        if self.clean and not self.faults:
            return (Mark("clean"),)
        by_side = (("L", self.left), ("R", self.right), ("", self.whole))
        return tuple(Mark("fault", count, side) for side, count in by_side if count)


Marks = tuple[tuple[str, tuple[Mark, ...]], ...]


@dataclass(frozen=True)
class Offer:
    """A usual alteration for a fault that was seen; ``taken`` once it stands as an answer.

    ``short`` says what the inlay cannot give, ``wanted`` what stays wrong all the same.
    """

    usual: looking.Usual
    title: str
    amount: str
    meant: str
    taken: bool
    short: str
    wanted: str


@dataclass(frozen=True)
class SeenLine:
    """One line of the running list."""

    seen: Observation
    zone: str
    words: str
    side: str
    amount: str
    offers: Sequence[Offer] = ()
    answers: Sequence[str] = ()


@dataclass(frozen=True)
class AlterationLine:
    """An alteration in words, with the inlay at its seam; ``short`` says what is missing."""

    alteration: Alteration
    words: str
    inlay: str
    short: str
    ticketed: bool = False
    answered: Sequence[str] = ()
    verdict: str = ""
    done: bool = False


@dataclass(frozen=True)
class Counts:
    """How far the reading of the garment has come."""

    zones: int
    looked_at: int
    faults: int
    unanswered: int
    open_lines: int = 0

    @property
    def left(self) -> int:
        return self.zones - self.looked_at


@dataclass(frozen=True)
class Reading:
    """The garment read so far: panels top to bottom, the running list, the count of both."""

    panels: Sequence[ZonePanel]
    lines: Sequence[SeenLine]
    counts: Counts

    @property
    def fault_lines(self) -> list[SeenLine]:
        return [line for line in self.lines if line.seen.fault]

    @property
    def clean_lines(self) -> list[SeenLine]:
        return [line for line in self.lines if not line.seen.fault]

    @property
    def marks(self) -> Marks:
        """By zone, for the drawing; hashable, so that a drawing can be kept by what is on it."""
        return tuple((panel.zone.key, panel.marks) for panel in self.panels if panel.marks)


def amount_text(amount: Length | None, unit: str) -> str:
    """An amount as the trade prints it: ``1¼ in``; nothing when none was taken."""
    if amount is None:
        return ""
    text = amount.text(unit)
    for plain, glyph in GLYPHS.items():
        text = text.replace(f" {plain} ", f"{glyph} ")
        if text.startswith(f"{plain} "):
            text = glyph + text[len(plain) :]
    return text


def tiles_of(kind: str, zone: str, stage: str) -> list[Tile]:
    """A zone's faults, those that show at this stage of the garment first."""
    faults = house_catalogue().faults_of(kind, zone)
    ordered = sorted(faults, key=lambda fault: stage not in fault.stages)
    return [
        Tile(
            fault=fault,
            sides=[(f"{fault.key}:{side}", words) for side, words in SHORT_SIDES]
            if fault.sided
            else [],
        )
        for fault in ordered
    ]


def read_garment(
    garment: Garment, purpose: str, seen: Sequence[Observation], unit: str, inlays: Inlays
) -> Reading:
    """Everything the screen says of the zones, from the standing observations, newest first."""
    panels = [zone_panel(zone, seen) for zone in house_catalogue().zones_of(garment.kind)]
    lines = [seen_line(garment.kind, purpose, row, unit, inlays) for row in seen]
    counts = Counts(
        zones=len(panels),
        looked_at=sum(bool(panel.state) for panel in panels),
        faults=sum(bool(row.fault) for row in seen),
        unanswered=sum(bool(row.fault) and not answers_of(row) for row in seen),
    )
    return Reading(panels=panels, lines=lines, counts=counts)


def zone_panel(zone: catalogue.Zone, seen: Iterable[Observation]) -> ZonePanel:
    here = [row for row in seen if row.zone == zone.key]
    sides = [row.side for row in here if row.fault]
    return ZonePanel(
        zone=zone,
        left=sides.count("L"),
        right=sides.count("R"),
        whole=sides.count("") + sides.count("both"),
        clean=any(not row.fault for row in here),
    )


def answers_of(seen: Observation) -> list[Alteration]:
    """The standing alterations, as ``queries.standing_answers`` fetched them."""
    return list(getattr(seen, "answers", []))


def seen_line(kind: str, purpose: str, seen: Observation, unit: str, inlays: Inlays) -> SeenLine:
    answers = answers_of(seen)
    return SeenLine(
        seen=seen,
        zone=looking.zone_name(kind, seen.zone),
        words=looking.fault_label(seen.fault) if seen.fault else "Clean",
        side=SIDE_WORDS.get(seen.side, ""),
        amount=amount_text(seen.amount, unit),
        offers=offers_for(kind, purpose, seen, unit, inlays),
        answers=[alteration_words(kind, row, unit) for row in answers],
    )


def offers_for(
    kind: str, purpose: str, seen: Observation, unit: str, inlays: Inlays
) -> list[Offer]:
    """The usual alterations of a fault, with the amount each would have."""
    if not seen.fault:
        return []
    offered = looking.usual(kind, purpose, seen.fault, seen.side, seen.amount)
    return [offer_of(kind, usual, answers_of(seen), unit, inlays) for usual in offered]


def offer_of(
    kind: str, usual: looking.Usual, answers: Iterable[Alteration], unit: str, inlays: Inlays
) -> Offer:
    """A usual alteration in words, taken if it is among the ``answers``."""
    work = Work(usual.operation, usual.seam, usual.side)
    much, meant = amount_words(work, usual.amount, unit)
    return Offer(
        usual=usual,
        title=work_title(kind, work),
        amount=much,
        meant=meant,
        taken=work in {work_of(row) for row in answers},
        short=shortfall_words(kind, work, usual.amount, unit, inlays),
        wanted=amount_text(usual.wanted, unit) if usual.wanted else "",
    )


def work_title(kind: str, work: Work) -> str:
    """``Let out, side seam``; the seam is left out where the operation's name says it.

    Keys stand for what the tables have dropped since.
    """
    try:
        name = seams.operation(work.operation).name
        seam = seams.seam(kind, work.seam).name
    except seams.UnknownKeyError:
        return f"{work.operation}, {work.seam}"
    return name if seam.lower() in name.lower() else f"{name}, {seam.lower()}"


def amount_words(work: Work, amount: Length | None, unit: str) -> tuple[str, str]:
    """The amount and how it is meant: ``("⅜ in", "each side")``; only the side without one."""
    if amount is None:
        return "", SIDE_WORDS[work.side]
    try:
        meant = seams.operation(work.operation).amount_words(work.side, work.seam)
    except seams.UnknownKeyError:
        meant = SIDE_WORDS[work.side]
    # "in all" is said only where there are two sides to share it, as on the ticket
    return amount_text(amount, unit), meant.removeprefix("in all, ")


def work_words(kind: str, work: Work, amount: Length | None, unit: str) -> str:
    """``Let out, side seam, ⅜ in each side``: as it would be said to the bench."""
    much, meant = amount_words(work, amount, unit)
    # "1/4 in, in all": without the comma the unit and the words run together
    joint = ", " if meant.startswith("in ") else " "
    said = joint.join(part for part in (much, meant) if part)
    return ", ".join(part for part in (work_title(kind, work), said) if part)


def work_of(row: Alteration) -> Work:
    return Work(row.operation, row.seam, row.side)


def alteration_words(kind: str, row: Alteration, unit: str) -> str:
    return work_words(kind, work_of(row), row.amount, unit)


def alteration_line(kind: str, row: Any, unit: str, inlays: Inlays) -> AlterationLine:
    """An alteration of ``queries.alterations_taken`` with what its seam still holds."""
    return AlterationLine(
        alteration=row,
        words=alteration_words(kind, row, unit),
        inlay=inlay_words(row.seam, inlays, unit),
        short=shortfall_words(kind, work_of(row), row.amount, unit, inlays),
        ticketed=row.ticketed,
    )


def judged_line(kind: str, row: Any, unit: str) -> AlterationLine:
    """An alteration of an earlier fitting, as ``queries.alterations_to_judge`` fetches it."""
    return AlterationLine(
        alteration=row,
        words=alteration_words(kind, row, unit),
        inlay="",
        short="",
        answered=fault_words(kind, row.answered),
        verdict=row.said_now[0].verdict if row.said_now else "",
        done=row.done,
    )


def fault_words(kind: str, seen: Iterable[Observation]) -> list[str]:
    """``collar: stands off the neck``, each fault once."""
    words = (
        f"{looking.zone_name(kind, row.zone)}: {looking.fault_label(row.fault).lower()}"
        for row in seen
        if row.fault
    )
    return list(dict.fromkeys(words))


def inlay_words(seam: str, inlays: Inlays, unit: str) -> str:
    """What is left at a seam, side by side; nothing for a seam that holds no inlay."""
    here = {side: left for (key, side), left in inlays.items() if key == seam}
    if set(here) == {"L", "R"} and here["L"] == here["R"]:
        return f"{amount_text(here['L'], unit)} each side"
    return ", ".join(
        f"{amount_text(left, unit)} {SIDE_WORDS[side]}".strip() for side, left in here.items()
    )


def shortfall_words(kind: str, work: Work, amount: Length | None, unit: str, inlays: Inlays) -> str:
    """A warning when the seam has not the cloth for it; empty when it has."""
    here = {where: left for (key, where), left in inlays.items() if key == work.seam}
    if amount is None or not here:
        return ""
    try:
        seam = seams.seam(kind, work.seam)
        missing = seams.shortfall(seam, here, work.operation, amount, work.side)
    except seams.UnknownKeyError:
        return ""
    if not missing:
        return ""
    return f"{amount_text(max(missing.values()), unit)} more than the inlay can give"


def workday_after(day: datetime.date) -> datetime.date:
    """The next day from Monday to Friday."""
    day += datetime.timedelta(days=1)
    while day.weekday() >= SATURDAY:
        day += datetime.timedelta(days=1)
    return day
