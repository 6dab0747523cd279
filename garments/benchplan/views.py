"""The page of a garment's plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from customers.lengths import Length
from customers.models import House
from customers.requests import status_of, way_back
from garments.afterwork.queries import leans_in_words
from garments.benchplan.forms import LinesForm, StopsForm, cloth_of, keyed
from garments.benchplan.queries import Bench, bench_of, key_of, meaning_of, name_of, stopped_by
from garments.benchplan.services import take_lines
from garments.forms import add_errors
from garments.models import Garment
from garments.planning import Effect, LineEffect, Measured, Step
from garments.requests import person_of
from garments.views import garment_of

TAKE = "take"


@require_http_methods(["GET", "POST"])
def plan_page(request: HttpRequest, number: str) -> HttpResponse:
    """A plan proposed, its lines changed and seen again, or taken."""
    garment = garment_of(number)
    unit = House.get().unit
    bench = bench_of(garment, unit)
    stops = _stops(request, garment, unit)
    blocked = stops.cleaned_data.get("stopped", []) if stops.is_valid() else []
    plan = bench.plan(blocked, cloth_of(stops))
    proposed = keyed(bench.proposed(plan))
    sent = request.POST if request.method == "POST" else None
    form = LinesForm(
        sent,
        kind=garment.kind,
        unit=unit,
        lines=None if sent else proposed,
        why={key_of(line.step): line.why for line in plan.lines},
    )
    lines = form.steps if form.is_bound and form.is_valid() else list(proposed.values())
    readable = not form.errors
    wanted = sent is not None and form.is_valid() and sent.get("do") == TAKE
    if wanted and (taken := _taken(request, garment, form)):
        return taken
    context = {
        "garment": garment,
        "unit": unit,
        "aims": bench.aims,
        "bench": bench,
        "plan": plan,
        "form": form,
        "stops": stops,
        # What is refused is still shown for what it would do.
        "shown": _shown(bench, lines, blocked) if readable else None,
        "next": request.POST.get("next", request.GET.get("next", "")),
    }
    page = "garments/plan_effect.html" if getattr(request, "htmx", False) else "garments/plan.html"
    return render(request, page, context, status=status_of(form))


def _stops(request: HttpRequest, garment: Garment, unit: str) -> StopsForm:
    """What the person said stops a seam; before they said anything, what the record knows."""
    known = {"stopped": stopped_by(garment), "asked": True}
    given: Any = request.POST if request.method == "POST" else request.GET
    form = StopsForm(given if "asked" in given else known, unit=unit)
    return form if form.is_valid() or "asked" in given else StopsForm(known, unit=unit)


def _taken(request: HttpRequest, garment: Garment, form: LinesForm) -> HttpResponse | None:
    try:
        kept = take_lines(
            entry_id=form.cleaned_data["entry_id"],
            garment=garment,
            lines=form.steps,
            why="Planned from the measures of the garment",
            by=person_of(request),
        )
    except ValidationError as error:
        add_errors(form, error)
        return None
    lines = "1 line is" if len(kept) == 1 else f"{len(kept)} lines are"
    messages.success(request, f"{lines} decided: issue the ticket next.")
    return redirect(way_back(request) or garment)


@dataclass(frozen=True, slots=True)
class Row:
    """One line as it is read, in working order."""

    name: str
    amount: str
    meant: str
    decided: bool
    effect: LineEffect
    inlay: str
    learnt: str


@dataclass(frozen=True, slots=True)
class Shown:
    """What the lines come to, in words."""

    rows: list[Row]
    measures: list[tuple[str, str, str, str, str]]
    effect: Effect
    conflicts: Sequence[Any]


def _shown(bench: Bench, lines: Sequence[Step], blocked: Sequence[str]) -> Shown:
    effect = bench.effect(lines, blocked)
    decided = set(bench.pinned)
    operations = {line.step.operation for line in effect.lines}
    learnt = leans_in_words(bench.garment.kind, operations, bench.unit)
    rows = [
        _row(
            bench,
            line,
            decided=line.step in decided,
            learnt=learnt.get((line.step.operation, line.step.seam), ""),
        )
        for line in effect.lines
    ]
    return Shown(
        rows=rows,
        measures=[_measure(row, bench) for row in effect.measures],
        effect=effect,
        conflicts=bench.conflicts(lines, effect),
    )


def _row(bench: Bench, line: LineEffect, *, decided: bool, learnt: str) -> Row:
    step, unit = line.step, bench.unit
    told = ""
    if line.inlay_before is not None and line.inlay_after is not None:
        told = f"{line.inlay_before.text(unit)} to {line.inlay_after.text(unit)}"
    return Row(
        name=name_of(bench.garment.kind, step),
        amount=step.amount.text(unit) if step.amount else "",
        meant=meaning_of(step),
        decided=decided,
        effect=line,
        inlay=told,
        learnt=learnt,
    )


def _measure(row: Measured, bench: Bench) -> tuple[str, str, str, str, str]:
    """Name, now, aimed at, after, and how it then lies: ``inside`` or ``1/4 in under``."""

    def told(length: Length) -> str:
        return length.text(bench.unit, 0.125 if bench.unit == "in" else 0.1)

    deviation = row.deviation
    verdict = "inside"
    if row.beyond:
        way = "over" if row.beyond > Length(0) else "under"
        verdict = f"{told(abs(row.after - deviation.target))} {way}"
    return (
        deviation.called,
        told(deviation.found),
        told(deviation.target),
        told(row.after),
        verdict,
    )
