"""How far a garment is, in the promise engine's stages. Pure.

What the record says is read so; ``look`` is the last fitting held before it:

=================  ====================================  =======================================
stage entered      the last engine stage behind it       why
=================  ====================================  =======================================
ordered            cloth                                 its delivery runs from the day ordered
cut                cut
basted             baste; after the first fitting        done tickets hang a garment up again as
                   forward-baste; after a forward one    basted (``garments.workroom``)
                   alter-forward
first-fitting      first-fitting
altering           nothing more                          work in hand counts whole
forward-fitting    forward-fitting
finishing          alter-forward                         decided at a look: made up and finished
                                                         next, nothing is altered before
finished           finish; after the final look
                   last-touches
final-look         final-look
delivered          everything
returned           final-look                            it comes to the bench once more
=================  ====================================  =======================================

A kind without such a stage has the one before it behind it: trousers that are basted again after
their first fitting are no further than that fitting. What was passed over is behind it too.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from fittings.promise import STAGES, Stage
from fittings.promise.stages import MOST_MINUTES
from garments.models import Kind
from garments.models import Stage as Entered

# Every key there is, in order: the coat has them all.
KEYS = tuple(row.key for row in STAGES[Kind.COAT])
TICKET = "ticket"
_LOOKS = (Entered.FIRST_FITTING, Entered.FORWARD_FITTING, Entered.FINAL_LOOK, Entered.RETURNED)
_BEHIND = {
    Entered.ORDERED: "cloth",
    Entered.CUT: "cut",
    Entered.FIRST_FITTING: "first-fitting",
    Entered.FORWARD_FITTING: "forward-fitting",
    Entered.FINISHING: "alter-forward",
    Entered.FINAL_LOOK: "final-look",
    Entered.DELIVERED: "last-touches",
    Entered.REMADE: "last-touches",
    Entered.RETURNED: "final-look",
}
_BASTED_AFTER = {
    "": "baste",
    Entered.FIRST_FITTING: "forward-baste",
    Entered.FORWARD_FITTING: "alter-forward",
}
# While no other work of the garment has begun, a fitting can be booked once more.
_ONCE_MORE = {
    "first-fitting": {"first-fitting"},
    "forward-fitting": {"forward-fitting", "alter-forward"},
    "final-look": {"final-look", "last-touches"},
}
# The alterations of these looks have their own stage already.
_ALTERED_BY_STAGE = {"first-fitting": "forward-baste", "forward-fitting": "alter-forward"}


@dataclass(frozen=True, slots=True)
class Standing:
    """The last stage behind a garment and the day it was; ``returned`` when it came back last."""

    reached: str
    day: datetime.date
    returned: datetime.date | None = None

    def before_again(self, booked: Iterable[str]) -> "Standing":
        """The same garment when a fitting it had is booked once more: that is before it again."""
        for look in booked:
            if self.reached in _ONCE_MORE[look]:
                return replace(self, reached=KEYS[KEYS.index(look) - 1])
        return self

    def done(self, rows: Iterable[Stage]) -> frozenset[str]:
        """The keys of ``rows`` that are behind it."""
        last = KEYS.index(self.reached)
        return frozenset(row.key for row in rows if KEYS.index(row.key) <= last)


def standing_of(
    rows: Sequence[Stage], entries: Iterable[tuple[str, datetime.date]], ordered_on: datetime.date
) -> Standing:
    """How far a garment of these stages is, by its standing entries, the oldest first."""
    now = Standing("cloth", ordered_on)
    look = ""
    for stage, day in entries:
        reached = _reached(stage, look)
        if stage in _LOOKS:
            look = stage
        if stage == Entered.RETURNED:
            now = Standing(_known(rows, reached), day, day)
        elif reached and KEYS.index(_known(rows, reached)) > KEYS.index(now.reached):
            now = replace(now, reached=_known(rows, reached), day=day)
    return now


def _reached(stage: str, look: str) -> str:
    if stage == Entered.BASTED:
        return _BASTED_AFTER.get(look, "")
    if stage == Entered.FINISHED:
        over = look in {Entered.FINAL_LOOK, Entered.RETURNED}
        return "last-touches" if over else "finish"
    return _BEHIND.get(Entered(stage), "")


def _known(rows: Iterable[Stage], key: str) -> str:
    """That stage, or the last one before it that this kind of garment has."""
    had = {row.key for row in rows}
    return next(k for k in reversed(KEYS[: KEYS.index(key) + 1]) if k in had)


def with_tickets(
    rows: Sequence[Stage], standing: Standing, kind: str, minutes: int
) -> tuple[Stage, ...]:
    """The stages with the open tickets' minutes before all that is still to do.

    Unless a stage of the garment stands for just that work already.
    """
    keys = {row.key for row in rows}
    if not minutes or _ALTERED_BY_STAGE.get(standing.reached) in keys:
        return tuple(rows)
    craft = "trouser-maker" if kind == Kind.TROUSERS else "coat-maker"
    ticket = Stage(TICKET, craft, min(minutes, MOST_MINUTES), source="the garment's open tickets")
    done = standing.done(rows)
    waiting = (
        row
        if row.key in done or set(row.after) - done
        else replace(row, after=(*row.after, TICKET))
        for row in rows
    )
    return (ticket, *waiting)
