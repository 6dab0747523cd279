"""What is said of one garment in one session: seen, judged, altered, decided."""

import uuid
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.safestring import SafeString
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_POST

from customers.form_fields import EntryForm
from fittings.models import Decision, Observation
from fittings.session import drawn, looking, screen, services
from fittings.session.causes import book_of_the_house
from fittings.session.forms import (
    AlterationForm,
    DecisionForm,
    JudgementForm,
    ObservationForm,
    RemedyForm,
    RestForm,
)
from fittings.session.page import Place, answered, find_place, refused, struck
from garments.altering import strike_alteration
from garments.forms import add_errors
from garments.models import Alteration

SEEN = ("seen", "zones", "behind")
TAKEN = ("seen", "behind", "taken")


@require_POST
@gzip_page
def observation_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """A zone touched: clean, or a fault with side and amount; or all the rest clean."""
    place = find_place(request, pk, number)
    if "rest" in request.POST:
        return _rest_clean(request, place)
    form = ObservationForm(request.POST, kind=place.garment.kind, unit=place.unit)
    if form.is_valid():
        data = form.cleaned_data
        try:
            seen = services.record_observation(
                entry_id=data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                zone=data["zone"],
                fault=data["fault"],
                side=data["side"],
                amount=data["length"],
                note=data["note"],
                by=place.by,
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            return answered(request, place, _said(place, seen), SEEN, at=f"zone-{data['zone']}")
    return refused(request, place, form, "session/touch_errors.html", panels=_left(place, form))


def _left(place: Place, form: ObservationForm) -> SafeString:
    """The panels as the refused touch left them."""
    stage = looking.stage_of(place.fitting.purpose)
    chosen = str(form["seen"].value() or "")
    return drawn.draw_panels(place.garment.kind, stage, chosen=chosen, opened=form.touched_zone)


def _rest_clean(request: HttpRequest, place: Place) -> HttpResponse:
    form = RestForm(request.POST)
    if form.is_valid():
        try:
            found = services.record_rest_clean(
                entry_id=form.cleaned_data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                by=place.by,
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            said = f"Looked at the rest: {len(found)} zones clean."
            return answered(request, place, said, SEEN, at="seen")
    return refused(request, place, form, "session/refusal.html")


@require_POST
@gzip_page
def observation_strike(
    request: HttpRequest, pk: uuid.UUID, number: str, entry: uuid.UUID
) -> HttpResponse:
    place = find_place(request, pk, number)
    seen = get_object_or_404(
        Observation, pk=entry, fitting=place.fitting, garment=place.garment, void=False
    )
    strike = partial(services.strike_observation, observation=seen)
    return struck(request, place, strike, f"Struck: {_said(place, seen)}", SEEN, at="seen")


@require_POST
@gzip_page
def alteration_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """A usual alteration accepted with one tap, or another one filled in."""
    place = find_place(request, pk, number)
    if "remedy" in request.POST:
        return _take_usual(request, place)
    form = AlterationForm(request.POST, kind=place.garment.kind, unit=place.unit)
    if form.is_valid():
        data = dict(form.cleaned_data)
        answers = data.pop("observation")
        seen = _seen(place, answers) if answers else None
        if (said := _take(place, data | {"observation": seen}, form)) is not None:
            return answered(request, place, said, (*TAKEN, "other"), at="taken")
    return refused(
        request, place, form, "session/other_alteration.html", alteration_form=form, oob=True
    )


def _take_usual(request: HttpRequest, place: Place) -> HttpResponse:
    form = RemedyForm(request.POST, unit=place.unit)
    if form.is_valid():
        data = form.cleaned_data
        seen = _seen(place, data["observation"])
        kind, purpose = place.garment.kind, place.fitting.purpose
        cause, (book, _) = data["remedy"].partition(":")[0], book_of_the_house()
        offered = (
            *looking.usual(kind, purpose, seen.fault, seen.side, seen.amount),
            *looking.usual_for_cause(book, kind, purpose, cause, seen),
        )
        chosen = next((each for each in offered if each.key == data["remedy"]), None)
        if chosen is None:
            form.add_error("remedy", "That is not one of the usual alterations.")
        else:
            values = {
                "entry_id": data["entry_id"],
                "operation": chosen.operation,
                "seam": chosen.seam,
                "side": chosen.side,
                "amount": data["length"] if chosen.asks_amount else chosen.amount,
                "cause": chosen.cause.key,
                "why": looking.fault_label(seen.fault),
                "observation": seen,
            }
            if (said := _take(place, values, form)) is not None:
                return answered(request, place, said, TAKEN, at=f"seen-{seen.pk}")
    return refused(request, place, form, "session/refusal.html")


def _take(place: Place, values: dict[str, Any], form: EntryForm) -> str | None:
    """Take an alteration and say so; None with the errors put beside the fields when refused."""
    try:
        taken = services.take_alteration(
            fitting=place.fitting, garment=place.garment, by=place.by, **values
        )
    except ValidationError as error:
        add_errors(form, error)
        return None
    return f"Taken: {screen.alteration_words(place.garment.kind, taken, place.unit)}."


@require_POST
@gzip_page
def alteration_strike(
    request: HttpRequest, pk: uuid.UUID, number: str, entry: uuid.UUID
) -> HttpResponse:
    place = find_place(request, pk, number)
    row = get_object_or_404(Alteration, pk=entry, garment=place.garment, void=False)
    strike = partial(strike_alteration, alteration=row)
    words = screen.alteration_words(place.garment.kind, row, place.unit)
    return struck(request, place, strike, f"Struck: {words}.", TAKEN, at="taken")


@require_POST
@gzip_page
def judgement_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """Cured, better, same or worse: one tap for one alteration of last time."""
    place = find_place(request, pk, number)
    form = JudgementForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        row = get_object_or_404(
            Alteration, pk=data["alteration"], garment=place.garment, void=False
        )
        try:
            said = services.judge_alteration(
                entry_id=data["entry_id"],
                fitting=place.fitting,
                alteration=row,
                verdict=data["verdict"],
                by=place.by,
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            words = screen.alteration_words(place.garment.kind, row, place.unit)
            spoken = f"{said.get_verdict_display().capitalize()}: {words}."
            return answered(request, place, spoken, ("judging",), at="last-time")
    return refused(request, place, form, "session/refusal.html")


@require_POST
@gzip_page
def decision_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """The next step of a garment; cutting again goes on to say which piece and why."""
    place = find_place(request, pk, number)
    form = DecisionForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        try:
            decision = services.decide_next_step(
                entry_id=data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                step=data["step"],
                note=data["note"],
                by=place.by,
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{place.garment}: {decision.get_step_display()}.")
            if decision.step == Decision.Step.REMAKE:
                return redirect(reverse("garments:remake_create", args=[place.garment.number]))
            return redirect(f"{place.url}#next-step")
    return refused(request, place, form, "session/refusal.html")


@require_POST
@gzip_page
def decision_strike(
    request: HttpRequest, pk: uuid.UUID, number: str, entry: uuid.UUID
) -> HttpResponse:
    """Take the next step back: the garment's part of the session is open again."""
    place = find_place(request, pk, number)
    decision = get_object_or_404(
        Decision, pk=entry, fitting=place.fitting, garment=place.garment, void=False
    )
    form = EntryForm(request.POST)
    if form.is_valid():
        try:
            services.take_back_decision(
                entry_id=form.cleaned_data["entry_id"], decision=decision, by=place.by
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, "Taken back: the session is open again.")
            return redirect(f"{place.url}#next-step")
    return refused(request, place, form, "session/refusal.html")


def _seen(place: Place, pk: uuid.UUID) -> Observation:
    """The standing observation of this garment in this session; 404 for any other."""
    seen = (
        Observation.objects.standing()
        .filter(pk=pk, fitting=place.fitting, garment=place.garment)
        .first()
    )
    if seen is None:
        raise Http404("That was not seen on this garment in this session.")
    return seen


def _said(place: Place, seen: Observation) -> str:
    line = screen.seen_line(place.garment.kind, place.fitting.purpose, seen, place.unit, {})
    return ", ".join(
        part for part in (f"{line.zone}: {line.words}", line.side, line.amount) if part
    )
