"""What past garments needed, and what was carried into the next. Constant queries.

    past_needs(customer, kind, before=None) -> Memory     five queries
    carry_lines(garment) -> list[CarryLine]               four; for a garment cut already, one
    unanswered(garment) -> int                            as carry_lines
    accepted_changes(garment) -> list[CarryLine]          one

and one more where the customer has no unit of their own: the house's is asked for.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery
from django.utils import timezone

from customers import points
from customers.change import changed_together
from customers.lengths import Length
from customers.models import Customer, Measurement
from customers.people import name_of
from customers.queries import last_measures, unit_of
from garments import memory, seams
from garments.models import Alteration, CarryAnswer, Garment, Remake, Stage, StageEntry

ACCEPTED, REFUSED = "accepted", "refused"


@dataclass(frozen=True, slots=True)
class CarryLine:
    """One change of the pattern: what the memory proposes, what was answered, or both.

    ``need`` is None where it proposes the change no more. Lengths are told in ``unit``.
    """

    kind: str
    operation: str
    seam: str
    side: str
    unit: str
    need: memory.Need | None
    answer: CarryAnswer | None

    @property
    def key(self) -> str:
        """What the line is called in a form and in the page."""
        return f"{self.operation}.{self.seam}.{self.side}".rstrip(".")

    @property
    def words(self) -> str:
        """``Let out, side seam``."""
        return memory.change_words(self.kind, self.operation, self.seam)

    @property
    def proposed(self) -> Length:
        if self.need:
            return self.need.amount
        return self.answer.proposed if self.answer else Length()

    @property
    def amount(self) -> Length:
        """What was accepted, or else what is proposed."""
        return self.answer.amount if self.answer and self.answer.accepted else self.proposed

    @property
    def amount_text(self) -> str:
        return self.amount.text(self.unit)

    @property
    def amount_words(self) -> str:
        """``3/8 in each side``."""
        return memory.told_amount(self.amount, self.operation, self.seam, self.side, self.unit)

    @property
    def proposed_words(self) -> str:
        return memory.told_amount(self.proposed, self.operation, self.seam, self.side, self.unit)

    @property
    def sure_words(self) -> str:
        """How sure it is, and by which garments; of an answer alone what it was then."""
        if self.need:
            return self.need.sure_words(self.unit)
        if self.answer is None:
            return ""
        count = self.answer.count
        garments = "1 garment" if count == 1 else f"{count} garments"
        return f"{self.answer.get_sureness_display().capitalize()}, by {garments}"

    @property
    def count(self) -> int:
        """How many garments stand behind it."""
        said = self.need or self.answer
        return said.count if said else 0

    @property
    def sureness(self) -> str:
        """The key of ``CarryAnswer.Sureness``."""
        if self.need:
            return self.need.sure.value
        return self.answer.sureness if self.answer else ""

    @property
    def answered(self) -> str | None:
        """``accepted``, ``refused``, or None while nobody answered."""
        if self.answer is None:
            return None
        return ACCEPTED if self.answer.accepted else REFUSED

    @property
    def by_whom(self) -> str:
        return name_of(self.answer.by if self.answer else None)

    @property
    def moved(self) -> bool:
        """Whether the memory says another amount than when it was answered."""
        return bool(self.need and self.answer and self.need.amount != self.answer.proposed)

    @property
    def gone(self) -> bool:
        """Whether it was answered and is proposed no more, while it could still be changed."""
        return self.need is None and self.answer is not None


def may_be_carried(garment: Garment) -> bool:
    """Whether the pattern can still be changed: the cloth is not cut."""
    return garment.stage == Stage.ORDERED and garment.measurement_set_id is None


def past_needs(
    customer: Customer, kind: str, before: Garment | None = None, unit: str = ""
) -> memory.Memory:
    """What the customer's garments of a kind needed, all of them or those ordered ``before`` one.

    Amounts come in ``unit``, or else the customer's. Warned of is a figure that has changed since.
    """
    rows = _cut_before(customer, kind, before)
    return _remembered(
        kind, _past(rows, _changed_since(customer, kind, rows)), before, unit or unit_of(customer)
    )


def past_garments(
    customer: Customer, kind: str, before: Garment | None = None
) -> list[memory.Past]:
    """The plain values the memory is made of. Five queries."""
    rows = _cut_before(customer, kind, before)
    return _past(rows, _changed_since(customer, kind, rows))


def _remembered(
    kind: str, past: Iterable[memory.Past], before: Garment | None, unit: str
) -> memory.Memory:
    cut = str(before.cut_version.cut_id) if before else ""
    return memory.remember(kind, past, on=timezone.localdate(), unit=unit, cut=cut)


def _past(rows: list[Any], changed: Mapping[Any, tuple[str, ...]]) -> list[memory.Past]:
    done = _alterations_of(rows)
    carried = _carried_in(rows)
    return [
        memory.Past(
            name=row.number,
            cut_on=timezone.localdate(row.cut_at) if row.cut_at else row.ordered_on,
            settled=row.left and not row.pieces and row.stage != Stage.REMADE,
            changed=changed.get(row.measurement_set_id, ()),
            cut=str(row.cut),
            done=tuple(done[row.pk]),
            carried=tuple(carried[row.pk]),
        )
        for row in rows
    ]


def _cut_before(customer: Customer, kind: str, before: Garment | None) -> list[Any]:
    """Garments no longer only ordered; when cut, whether they left the house or lost a piece."""
    entries = StageEntry.objects.standing().filter(garment=OuterRef("pk"))
    cut = entries.filter(stage=Stage.CUT).order_by("at").values("at")
    rows = Garment.objects.filter(customer=customer, kind=kind).exclude(stage=Stage.ORDERED)
    if before is not None:
        rows = rows.filter(serial__lt=before.serial)
    again = Remake.objects.standing().filter(replaces=OuterRef("pk"), garment__isnull=True)
    told = rows.annotate(
        cut_at=Subquery(cut[:1]),
        left=Exists(entries.filter(stage=Stage.DELIVERED)),
        pieces=Exists(again),
        cut=F("cut_version__cut"),
    )
    return list(told.order_by("serial"))


def _changed_since(
    customer: Customer, kind: str, garments: list[Any]
) -> Mapping[Any, tuple[str, ...]]:
    """By the set a garment was cut from the points of it that are another's measure by now.

    By more than the tape's own error at all points together (``customers.change``).
    """
    names = {point.key: point.name for point in points.for_garments(kind)}
    sets = {row.measurement_set_id for row in garments if row.measurement_set_id}
    before: dict[Any, dict[tuple[str, str], Length]] = {pk: {} for pk in sets}
    rows = Measurement.objects.filter(in_set__in=sets, point__in=names, reading=1).order_by("pk")
    for of, point, side, value in rows.values_list("in_set", "point", "side", "value"):
        before[of][point, side] = value
    now = last_measures(customer)
    return {
        of: tuple(dict.fromkeys(names[point] for point, _ in changed_together(measures, now)))
        for of, measures in before.items()
    }


def _alterations_of(garments: list[Any]) -> Mapping[int, list[memory.Done]]:
    """Standing alterations by garment in the order decided, each with its last standing verdict."""
    # Judgements belong to the fitting room above; the relation is followed the other way round.
    rows = (
        Alteration.objects.standing()
        .filter(garment__in=[row.pk for row in garments])
        .order_by("at", "pk", "judgements__fitting__started_at", "judgements__at", "judgements__pk")
        .values_list(
            "pk",
            "garment",
            "operation",
            "seam",
            "side",
            "amount",
            "judgements__verdict",
            "judgements__void",
            "judgements__struck_by",
        )
    )
    last: dict[Any, tuple[int, memory.Done]] = {}
    for pk, garment, operation, seam, side, amount, said, void, struck in rows:
        stands = said is not None and not void and struck is None
        verdict = said if stands else last[pk][1].verdict if pk in last else ""
        last[pk] = garment, memory.Done(operation, seam, side, amount, verdict)
    done = defaultdict(list)
    for garment, row in last.values():
        done[garment].append(row)
    return done


def _carried_in(garments: list[Any]) -> Mapping[int, list[memory.Carried]]:
    carried = defaultdict(list)
    accepted = CarryAnswer.objects.standing().filter(
        garment__in=[row.pk for row in garments], accepted=True
    )
    for row in accepted.order_by("at", "pk"):
        carried[row.garment_id].append(
            memory.Carried(row.operation, row.seam, row.side, row.amount)
        )
    return carried


def answers_of(garment: Garment) -> QuerySet[CarryAnswer]:
    """The answers that stand for a garment, oldest first, with who gave them."""
    rows = CarryAnswer.objects.standing().filter(garment=garment)
    return rows.select_related("by").order_by("at", "pk")


def carry_lines(garment: Garment, unit: str = "") -> list[CarryLine]:
    """What is proposed for a garment, in working order, and what was answered.

    Once the garment is cut: the answers alone. ``garment`` comes with customer and cut version.
    """
    unit = unit or unit_of(garment.customer)
    return lines_of(garment, needs_for(garment, unit), answers_of(garment), unit)


def needs_for(garment: Garment, unit: str) -> tuple[memory.Need, ...]:
    """What is proposed for a garment: nothing any more once it is cut. Three queries."""
    if not may_be_carried(garment):
        return ()
    rows = _cut_before(garment.customer, garment.kind, garment)
    return _remembered(garment.kind, _past(rows, {}), garment, unit).needs


def lines_of(
    garment: Garment,
    needs: Iterable[memory.Need],
    answers: Iterable[CarryAnswer],
    unit: str,
) -> list[CarryLine]:
    """The lines of a garment when needs and standing answers are known. No query."""
    said = {(row.operation, row.seam, row.side): row for row in answers}
    lines = [
        _line(garment, unit, need, said.pop((need.operation, need.seam, need.side), None))
        for need in needs
    ]
    return [*lines, *(_line(garment, unit, None, answer) for answer in said.values())]


def unanswered(garment: Garment) -> int:
    """How many proposed changes nobody has answered yet; none once the garment is cut."""
    if not may_be_carried(garment):
        return 0
    return sum(line.answer is None for line in carry_lines(garment))


def accepted_changes(garment: Garment, unit: str = "") -> list[CarryLine]:
    """What is carried into the garment's pattern, in working order, for the cutter's sheet."""
    unit = unit or unit_of(garment.customer)
    lines = [_line(garment, unit, None, row) for row in answers_of(garment) if row.accepted]
    known = [line for line in lines if memory.way_of(line.operation)]
    # An old answer may name what the tables hold no more: it is told last.
    return [*seams.working_order(known), *(line for line in lines if line not in known)]


def _line(
    garment: Garment, unit: str, need: memory.Need | None, answer: CarryAnswer | None
) -> CarryLine:
    said: Any = need or answer
    return CarryLine(garment.kind, said.operation, said.seam, said.side, unit, need, answer)
