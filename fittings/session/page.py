"""What a request of the fitting room stands on, and what its page and its answers show."""

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from customers.form_fields import EntryForm
from customers.queries import unit_of
from customers.requests import UNPROCESSABLE
from fittings.diary.queries import asked_of
from fittings.models import Decision, Fitting, Judgement
from fittings.session import causes, drawn, looking, queries, screen
from fittings.session.forms import PhotographForm
from garments.aiming.queries import Aims, aims_of
from garments.benchplan.queries import told_of
from garments.forms import add_errors
from garments.models import Garment
from garments.queries import inlays_of
from garments.requests import person_of
from garments.workroom.due import suggest_due

# The three signs of the drawing, once each: session.js copies them to where a tap was answered.
SIGNS = {
    "mark_fault": screen.Mark("fault", 1),
    "mark_clean": screen.Mark("clean"),
    "mark_none": screen.Mark(""),
    "mark_at": {"x": 0, "y": 0},
}


@dataclass(frozen=True)
class Place:
    """One garment in one session, who is at it and in which unit its amounts are spoken."""

    fitting: Fitting
    garment: Garment
    unit: str
    by: User

    @property
    def url(self) -> str:
        return f"{self.fitting.get_absolute_url()}?garment={self.garment.number}"


def find_place(request: HttpRequest, pk: uuid.UUID, number: str = "") -> Place:
    """404 for an unknown session or a garment not in it; the first garment when none is named."""
    fitting = queries.fitting_for_screen(pk).first()
    if fitting is None:
        raise Http404("There is no such session.")
    garments = list(fitting.garments.all())
    if not number and garments:
        number = garments[0].number
    garment = next((each for each in garments if each.number == number), None)
    if garment is None:
        raise Http404("That garment is not in this session.")
    return Place(
        fitting=fitting, garment=garment, unit=unit_of(fitting.customer), by=person_of(request)
    )


def read(place: Place) -> dict[str, Any]:
    """What an answer to a tap needs: the garment as read so far, and the alterations taken."""
    garment, unit = place.garment, place.unit
    inlays = inlays_of(garment)
    seen = list(queries.seen_so_far(place.fitting, garment))
    taken = [
        screen.alteration_line(garment.kind, row, unit, inlays)
        for row in queries.alterations_taken(place.fitting, garment)
    ]
    to_ticket = [line for line in taken if not line.ticketed]
    reading = screen.read_garment(garment, place.fitting.purpose, seen, unit, inlays)
    return {
        "new_id": uuid.uuid4,  # called anew by each form that is drawn
        "verdicts": Judgement.Verdict.choices,
        "steps": Decision.Step.choices,
        "few_amounts": screen.AMOUNTS[place.unit][:6],
        "fitting": place.fitting,
        "garment": garment,
        "unit": unit,
        "inlays": inlays,
        "seen": seen,
        "reading": reading,
        "remarks": list(queries.remarks_of(place.fitting, garment)),
        "counts": reading.counts,
        "taken": taken,
        "to_ticket": to_ticket,
        "conflicts": told_of(garment, [line.alteration for line in to_ticket]) if to_ticket else (),
        "due_on": suggest_due(timezone.localdate(), garment.promised_on),
    }


def whole_page(place: Place, answers: str = "") -> dict[str, Any]:
    """Everything the screen shows, in a fixed number of queries.

    ``answers`` names the entry that another alteration is to be filled in for.
    """
    fitting, garment = place.fitting, place.garment
    state = queries.state_of(fitting.pk, garment.number)  # before the rest: at worst told twice
    decisions = queries.decisions_of(fitting)
    decision = decisions.get(garment.pk)
    aims = aims_of(garment, place.unit)
    so_far = read(place)
    lines = so_far["reading"].fault_lines
    line = next((each for each in lines if str(each.seen.pk) == answers), None)
    return (
        so_far
        | behind_it(place, so_far, aims)
        | photographs(place)
        | SIGNS
        | {
            "state": state,
            "judging": judging(place),
            "asking": asked_of(garment),
            "amounts": drawn.amount_keys(place.unit),
            "drawings": drawn.drawings(garment.kind, so_far["reading"].marks),
            "measured": aims.by_zone(),
            "panels": drawn.panels(garment.kind, looking.stage_of(fitting.purpose)),
            "garments": list(fitting.garments.all()),
            "decided": set(decisions),
            "decision": decision,
            "answers": line,
            "alteration_fields": drawn.alteration_fields(garment.kind, place.unit),
            "next_booking": next_booking(place, decision.step if decision else ""),
        }
    )


def behind_it(place: Place, so_far: Mapping[str, Any], aims: Aims | None = None) -> dict[str, Any]:
    """What may be behind what was read so far, and what was taken to be."""
    return causes.behind_it(
        place.fitting,
        place.garment,
        so_far["seen"],
        unit=place.unit,
        inlays=so_far["inlays"],
        aims=aims,
    )


def judging(place: Place) -> list[screen.AlterationLine]:
    """The alterations of earlier fittings to be asked about first."""
    return [
        screen.judged_line(place.garment.kind, row, place.unit)
        for row in queries.alterations_to_judge(place.fitting, place.garment)
    ]


def photographs(place: Place) -> dict[str, Any]:
    now, before = queries.photographs_of(place.fitting, place.garment)
    return {
        "consent": queries.newest_consent(place.fitting.customer),
        "photographs": now,
        "may_compare": any(row.view in before for row in now),
        "photograph_form": PhotographForm(),
    }


def next_booking(place: Place, step: str) -> str:
    """Address of the diary's form filled in for the next look; empty when there is none.

    The look is proposed for the day after the workroom is done, when a ticket says which that is.
    """
    purpose = screen.NEXT_PURPOSE.get(step)
    if purpose is None:
        return ""
    due = queries.due_from_workroom(place.garment)
    wanted = {
        "customer": place.fitting.customer.number,
        "garments": place.garment.number,
        "fitter": place.fitting.fitter_id,
        "purpose": purpose,
    }
    if due is not None and due >= timezone.localdate():
        wanted["date"] = screen.workday_after(due).isoformat()
    return f"{reverse('diary:booking_create')}?{urlencode(wanted)}"


def answered(
    request: HttpRequest, place: Place, said: str, pieces: Sequence[str], *, at: str = ""
) -> HttpResponse:
    """The pieces of the screen that changed; without JavaScript the whole page anew, at ``at``."""
    if not request.headers.get("HX-Request"):
        messages.success(request, said)
        return redirect(f"{place.url}#{at}" if at else place.url)
    state = queries.state_of(place.fitting.pk, place.garment.number)
    answer = pieces_of(request, place, said, pieces)
    answer["X-State"] = state
    return answer


def pieces_of(request: HttpRequest, place: Place, said: str, pieces: Sequence[str]) -> HttpResponse:
    """The pieces named, as they stand now, each to be put where its id is."""
    context = read(place) | {"said": said, "pieces": pieces}
    if "behind" in pieces:
        context |= behind_it(place, context)
    if "judging" in pieces:
        context["judging"] = judging(place)
    if "other" in pieces:
        context["alteration_fields"] = drawn.alteration_fields(place.garment.kind, place.unit)
    if "photographs" in pieces:
        context |= photographs(place)
    return render(request, "session/answer.html", context)


def struck(
    request: HttpRequest,
    place: Place,
    strike: Callable[..., object],
    said: str,
    pieces: Sequence[str],
    *,
    at: str,
) -> HttpResponse:
    """An entry taken back by one tap: ``strike`` is its service, asked for all but id and hand."""
    form = EntryForm(request.POST)
    if form.is_valid():
        try:
            strike(entry_id=form.cleaned_data["entry_id"], by=place.by)
        except ValidationError as error:
            add_errors(form, error)
        else:
            return answered(request, place, said, pieces, at=at)
    return refused(request, place, form, "session/refusal.html")


def refused(
    request: HttpRequest, place: Place, form: Form, template: str, **shown: Any
) -> HttpResponse:
    """What is wrong, beside its field, with everything typed kept: 422 either way."""
    if request.headers.get("HX-Request"):
        context = {"form": form, "fitting": place.fitting, "garment": place.garment, **shown}
        return render(request, template, context, status=UNPROCESSABLE)
    context = whole_page(place) | {"form": form, **shown}
    return render(request, "session/fitting_detail.html", context, status=UNPROCESSABLE)


def sentence(error: ValidationError) -> str:
    return " ".join(error.messages)
