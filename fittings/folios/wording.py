"""What the record holds, in words: one sentence an entry."""

import datetime
from collections.abc import Callable

from django.utils import timezone

from customers.lengths import Length
from fittings import catalogue
from fittings.housebook.queries import house_catalogue
from fittings.models import CauseTaken, Observation, SpotAnswer
from garments import cutting, memory, seams
from garments.models import Alteration, CarryAnswer, FinishedMeasure, GarmentWish, InlayMovement
from garments.tickets import alteration_words

NEAR = {0: "today", 1: "tomorrow"}
SOON = 14  # days ahead of a promise that are said in words; house rule


def moment(at: datetime.datetime) -> str:
    """``3 Feb 2026, 10:30`` on the house's clock."""
    return f"{house_time(at):%-d %b %Y, %H:%M}"


def house_time(at: datetime.datetime) -> datetime.datetime:
    return timezone.localtime(at)


def promise_text(promised_on: datetime.date | None, today: datetime.date, *, over: bool) -> str:
    """When it is promised, and how that stands: a number of days alone is too soon misread."""
    if promised_on is None:
        return "no day promised"
    day = f"{promised_on:%-d %B %Y}"
    days = (promised_on - today).days
    if over or days > SOON:
        return day
    if days < 0:
        return f"{day}, {-days} {'day' if days == -1 else 'days'} late"
    return f"{day}, {NEAR.get(days, f'in {days} days')}"


def amount_text(amount: Length | None, unit: str) -> str:
    return "" if amount is None else amount.text(unit)


def alteration_text(alteration: Alteration, kind: str, unit: str) -> str:
    """``Let out side seam: 3/8 in each side``, in the words of the tickets."""
    try:
        words = alteration_words(alteration, None, None, kind, unit)
    except seams.UnknownKeyError:  # an old entry may name what the tables hold no more
        return str(alteration)
    named = words.operation.lower().endswith(words.seam)
    what = words.operation if named else f"{words.operation} {words.seam}"
    return f"{what}: {words.amount_and_side}" if words.amount_and_side else what


def cause_text(taken: CauseTaken) -> tuple[str, str]:
    """``Back balance short taken to be behind it``, and what had been proposed."""
    name = cause_name(taken.cause) if taken.cause else f"“{taken.words}”"
    rows = taken.proposed.get("causes", [])
    if not rows or taken.rank == 1:
        note = "As proposed first." if rows else ""
    else:
        place = f"this as number {taken.rank}" if taken.rank else "this not among them"
        note = f"Proposed first: {cause_name(rows[0]['cause'])}; {place}."
    return f"{name} taken to be behind it", note


def spot_answer_text(answer: SpotAnswer) -> str:
    """``Do the slanting lines clear? Yes``; the test's key for one the catalogue has dropped."""
    asks = {row.key: row.asks for row in catalogue.load().tests}.get(answer.test, answer.test)
    return f"{asks} {'Yes' if answer.yes else 'No'}"


def cause_name(key: str) -> str:
    return house_catalogue().cause_name(key)


def observation_text(seen: Observation, kind: str, unit: str) -> str:
    """``Collar: stands off at the back, 1/4 in``, or ``Collar: clean``."""
    book = house_catalogue()
    zone = book.zone_name(kind, seen.zone)
    if not seen.fault:
        return f"{zone}: clean"
    fault = book.fault_label(seen.fault)
    parts = (seams.SIDE_NAMES.get(seen.side, seen.side), amount_text(seen.amount, unit))
    return ", ".join([f"{zone}: {fault}", *(part for part in parts if part)])


def inlay_text(movement: InlayMovement, kind: str, unit: str) -> str:
    """``Side seam left: 3/8 in let out``; a count says the difference it found."""
    seam = _name(lambda: seams.seam(kind, movement.seam).name, movement.seam)
    where = f"{seam} {seams.SIDE_NAMES.get(movement.side, '')}".strip()
    amount = movement.amount
    if movement.reason != InlayMovement.Reason.COUNTED:
        return f"{where}: {abs(amount).text(unit)} {movement.get_reason_display()}"
    if not amount:
        return f"{where}: counted, as entered before"
    than = "more" if amount.nm > 0 else "less"
    return f"{where}: counted, {abs(amount).text(unit)} {than} than entered before"


def wish_text(wish: GarmentWish, kind: str, unit: str) -> str:
    """``More linen, 1/4 in``."""
    words = _name(lambda: cutting.finished_point(kind, wish.point).wish(wish.amount), wish.point)
    return f"{words.capitalize()}, {abs(wish.amount).text(unit)}"


def measured_text(row: FinishedMeasure, kind: str, unit: str) -> str:
    """``Sleeve, left: 25 1/8 in on the board``."""
    name = _name(lambda: cutting.finished_point(kind, row.point).called(row.side), row.point)
    return f"{name}: {row.value.text(unit)} {row.get_where_display()}"


def carried_text(row: CarryAnswer, kind: str, unit: str) -> str:
    """``Carried: let out, side seam, 3/8 in each side``, or ``Left out: ...`` as proposed."""
    words = memory.change_words(kind, row.operation, row.seam)
    amount = row.amount if row.accepted else row.proposed
    how = memory.told_amount(amount, row.operation, row.seam, row.side, unit)
    return f"{'Carried' if row.accepted else 'Left out'}: {words[0].lower()}{words[1:]}, {how}"


def _name(read: Callable[[], str], key: str) -> str:
    """A name from the tables; the key itself where an old entry names what they hold no more."""
    try:
        return read()
    except KeyError:
        return key
