"""What a fitter sees of the hidden causes, what they take for it, and what comes of it."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from django.contrib.auth.models import User
from numpy.random import Generator

from fittings import catalogue
from fittings.demo import causes
from fittings.demo.garment import Taken, Work
from fittings.demo.truth import Hidden, Sign
from fittings.models import Fitting, Judgement, Observation
from fittings.session.looking import stage_of
from garments import seams
from garments.models import Alteration
from garments.seams import EIGHTH
from garments.workroom.inlay import walk

Verdict = Judgement.Verdict
Moment = datetime.datetime

SEES: Final = {"baste": 0.6, "forward": 0.7, "finished": 0.5}  # of the signs there are
LOGS: Final = {"baste": 0.94, "forward": 0.6, "finished": 0.35}  # of the zones without a fault
NEVER_TAKEN: Final = ("leave", "recut")
# What comes of an alteration: against the true cause by enough, by too little, against another.
ENOUGH: Final = ((Verdict.CURED, 0.86), (Verdict.BETTER, 0.1), (Verdict.SAME, 0.04))
TOO_LITTLE: Final = ((Verdict.BETTER, 0.8), (Verdict.SAME, 0.2))
BESIDE: Final = (
    (Verdict.CURED, 0.06),
    (Verdict.BETTER, 0.22),
    (Verdict.SAME, 0.52),
    (Verdict.WORSE, 0.2),
)


@dataclass(frozen=True)
class Look:
    """What was logged of one garment: the signs by fault with their cause, and the rows.

    ``rows`` are those of the faults, ``said`` those of the clean zones too.
    """

    stage: str
    seen: dict[str, tuple[Sign, Hidden]]
    rows: dict[str, Observation]
    said: list[Observation]
    at: Moment

    @property
    def past_altering(self) -> list[Hidden]:
        return [hidden for _, hidden in self.seen.values() if hidden.recut]


class Eye:
    """A fitter before one garment. ``skill`` is how often the cause is read aright.

    One who is ``keen`` misses nothing: for scenes that must show something.
    """

    def __init__(self, rng: Generator, skill: float, *, keen: bool = False) -> None:
        self.rng = rng
        self.skill = skill
        self.keen = keen

    def judge(self, work: Work, fitting: Fitting, at: Moment, by: User) -> int:
        """Say of every alteration done since the last look what became of it; how many."""
        done = [taken for taken in work.waiting if taken.done]
        for taken in done:
            odds = BESIDE if not taken.right else ENOUGH if taken.enough else TOO_LITTLE
            names, weights = zip(*odds, strict=True)
            verdict = str(self.rng.choice(names, p=weights))
            work.record.entry(
                Judgement,
                fitting=fitting,
                alteration=taken.alteration,
                verdict=verdict,
                at=at,
                by=by,
            )
            work.verdicts[taken.alteration.pk] = verdict
            _follow(work, taken.hidden, verdict)
        work.waiting = [taken for taken in work.waiting if not taken.done]
        return len(done)

    def look(self, work: Work, fitting: Fitting, *, at: Moment, by: User) -> "Look":
        """Log the zones from the top, clean or with what is wrong there."""
        stage = stage_of(fitting.purpose)
        seen = dict(self._seen(work, stage))
        rows: dict[str, Observation] = {}
        clean = []
        for zone in catalogue.zones(work.garment.kind):
            here = [sign for sign, _ in seen.values() if sign.fault.zone == zone.key]
            for sign in here:
                at += datetime.timedelta(seconds=int(self.rng.integers(15, 45)))
                rows[sign.fault.key] = self._log(work, fitting, zone.key, sign, at=at, by=by)
            if not here and self.rng.random() < LOGS[stage]:
                at += datetime.timedelta(seconds=int(self.rng.integers(3, 15)))
                clean.append(self._log(work, fitting, zone.key, None, at=at, by=by))
        return Look(stage, seen, rows, [*rows.values(), *clean], at)

    def _seen(self, work: Work, stage: str) -> Iterator[tuple[str, tuple[Sign, Hidden]]]:
        for hidden in work.hidden:
            for sign in hidden.signs:
                if stage in sign.fault.stages and (self.keen or self.rng.random() < SEES[stage]):
                    yield sign.fault.key, (sign, hidden)

    def _log(
        self, work: Work, fitting: Fitting, zone: str, sign: Sign | None, *, at: Moment, by: User
    ) -> Observation:
        return work.record.entry(
            Observation,
            fitting=fitting,
            garment=work.garment,
            zone=zone,
            fault=sign.fault.key if sign else "",
            side=sign.side if sign else "",
            amount=sign.amount if sign else None,
            at=at,
            by=by,
        )

    def answer(self, work: Work, look: "Look", by: User) -> None:
        """Take one alteration for each cause the fitter believes in."""
        at = look.at
        believed: dict[int, str] = {}
        made: dict[tuple[str, str, str], Alteration] = {}
        for key, (sign, hidden) in look.seen.items():
            cause = believed.setdefault(id(hidden), self._believe(sign, hidden))
            taken = self._choose(work, look.stage, sign, hidden, cause)
            if taken is None:
                continue
            line = taken.alteration
            place = (line.operation, line.seam, line.side)
            if place in made:
                work.answer_seen(look.rows[key], made[place])
                continue
            at += datetime.timedelta(seconds=int(self.rng.integers(15, 40)))
            made[place] = line
            work.take(taken, [look.rows[key]], at, by)
        causes.take(work, look, believed.values(), by)

    def _believe(self, sign: Sign, hidden: Hidden) -> str:
        """The cause the fitter reads from a fault: the true one, or another that shows so too."""
        others = [
            link
            for link in catalogue.causes_of(sign.fault.key, sign.side)
            if link.cause != hidden.cause
        ]
        if not others or self.rng.random() < self.skill:
            return hidden.cause
        weights = [link.probability for link in others]
        number = self.rng.choice(len(others), p=[weight / sum(weights) for weight in weights])
        return others[int(number)].cause

    def _choose(
        self, work: Work, stage: str, sign: Sign, hidden: Hidden, cause: str
    ) -> Taken | None:
        """The first alteration of the catalogue for which there is cloth; None when there is none.

        A cause believed in by mistake is not treated twice for two of its faults.
        """
        kind = work.garment.kind
        for remedy in catalogue.remedies_of(cause, kind, sign.fault.key, stage):
            operation = seams.operation(remedy.operation)
            if operation.key in NEVER_TAKEN:
                continue
            wanted = remedy.amount_for(sign.amount or EIGHTH * hidden.eighths)
            line = Alteration(
                operation=remedy.operation,
                seam=remedy.seam,
                side=remedy.side_for(sign.side),
                amount=wanted if operation.takes_amount else None,
                cause=cause,
                why=sign.fault.label,
            )
            if _fits(work, line):
                enough = line.amount in (wanted, None) and not remedy.left_over(sign.amount)
                right = cause == hidden.cause
                return Taken(line, hidden, right, enough and not hidden.recut)
        return None


def _fits(work: Work, line: Alteration) -> bool:
    """Whether it can be done, its amount lessened to what there is cloth for."""
    kind = work.garment.kind
    if line.amount is None:
        return not seams.operation(line.operation).takes_amount
    (span,) = walk([line], work.planned, kind)
    eighths = (line.amount - span.short).nm // EIGHTH.nm
    if eighths < 1:
        return False
    line.amount = EIGHTH * eighths
    return not seams.refusals(kind, line.operation, line.seam, line.side, line.amount)


def _follow(work: Work, hidden: Hidden | None, verdict: str) -> None:
    """What the alteration did to the cause itself."""
    if hidden not in work.hidden:
        return
    if verdict == Verdict.CURED:
        work.hidden.remove(hidden)
    elif verdict == Verdict.BETTER:
        hidden.eighths = max(1, hidden.eighths // 2)
        hidden.signs = tuple(
            replace(sign, amount=EIGHTH * hidden.eighths if sign.amount else None)
            for sign in hidden.signs[: max(1, len(hidden.signs) // 2)]
        )
