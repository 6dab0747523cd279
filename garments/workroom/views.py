"""The workroom: a ticket and its answers, the paper."""

import uuid
from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers import numbers
from customers.models import House
from customers.requests import way_back
from garments.benchplan.queries import told_of
from garments.forms import add_errors, with_value
from garments.models import Answer, Garment, Ticket, TicketRevision
from garments.requests import kept_before, person_of
from garments.tickets import LABEL, TICKET, read_lines, render_tickets
from garments.workroom.forms import (
    AnswerForm,
    DayForm,
    ReplyForm,
    RevisionForm,
    ScanForm,
    TicketForm,
)
from garments.workroom.queries import (
    for_paper,
    newest_revisions,
    outstanding,
    with_history,
    with_state,
)
from garments.workroom.services import answer_ticket, freeing, issue_ticket, revise_ticket


@require_http_methods(["GET", "POST"])
def ticket_create(request: HttpRequest, number: str) -> HttpResponse:
    """Issue a ticket for the open alterations of the garment of this number."""
    garment = get_object_or_404(Garment.objects.for_lists(), number=_tidy(number))
    if issued := kept_before(request, Ticket, id_field="form_id", garment=garment):
        return redirect(way_back(request) or issued)
    form = TicketForm(_sent(request), garment=garment, unit=House.get().unit)
    if form.is_valid():
        values = dict(form.cleaned_data)
        try:
            ticket = issue_ticket(
                form_id=values.pop("entry_id"), garment=garment, by=person_of(request), **values
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"Ticket {ticket} is issued.")
            return redirect(way_back(request) or ticket)
    context = {"form": form, "garment": garment, "conflicts": told_of(garment, form.lines)}
    return render(request, "workroom/ticket_form.html", context, status=_status(form))


@require_safe
def ticket_detail(request: HttpRequest, number: str) -> HttpResponse:
    """A ticket as it holds now."""
    revision = get_object_or_404(
        for_paper(with_state(newest_revisions())), ticket__number=_tidy(number)
    )
    return _draw(request, revision, _answer_form(revision))


@require_safe
def ticket_scan(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """The page behind a paper's QR: the same page, which says whether that paper still holds."""
    row = _revision(number, revision)
    return _draw(request, row, _answer_form(row))


@require_safe
def ticket_find(request: HttpRequest) -> HttpResponse:
    """Open the ticket whose code was scanned or typed: that very paper's page, if it says which."""
    form = ScanForm(request.GET if "code" in request.GET else None)
    if form.is_valid():
        found: TicketRevision = form.cleaned_data["code"]
        return redirect("workroom:ticket_scan", found.ticket.number, found.revision)
    return render(request, "workroom/ticket_find.html", {"form": form}, status=_status(form))


@require_http_methods(["GET", "POST"])
def ticket_revise(request: HttpRequest, number: str) -> HttpResponse:
    """Change a ticket: its next revision. Who had an older one before them is told, once."""
    old = _newest(number)
    garment = old.ticket.garment
    form = RevisionForm(_sent(request), garment=garment, unit=House.get().unit, revision=old)
    if form.is_valid():
        values = dict(form.cleaned_data)
        try:
            new = revise_ticket(ticket=old.ticket, by=person_of(request), **values)
        except ValidationError as error:
            add_errors(form, error)
            # The next sending is made knowing which revision holds.
            with_value(form, "replaces", str(old.revision))
        else:
            messages.success(request, f"Revision {new.revision} is issued: print it.")
            return redirect(new.ticket)
    told = told_of(garment, form.lines)
    context = {"form": form, "garment": garment, "revision": old, "conflicts": told}
    return render(request, "workroom/ticket_form.html", context, status=_status(form))


@require_POST
def answer_create(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Keep the bench's answer to a revision."""
    answered = _revision(number, revision)
    form = _answer_form(answered, request.POST)
    if form.is_valid():
        values = dict(form.cleaned_data)
        back = values.pop("back")
        if back == "list" and values["kind"] == Answer.Kind.DONE and "trimmed" in values:
            messages.info(request, "Say first whether cloth was trimmed away, then done.")
            return redirect(answered.ticket)
        try:
            answer = answer_ticket(revision=answered, by=person_of(request), **values)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{answered.ticket}: {answer.get_kind_display()}.")
            return redirect("workroom:ticket_list") if back == "list" else redirect(answered.ticket)
    return _draw(request, answered, form)


@require_POST
def ticket_reply(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Keep the fitter's answer to what the bench asked or sent back."""
    asked = _revision(number, revision)
    form = ReplyForm(request.POST)
    if form.is_valid():
        values = form.cleaned_data | {"kind": Answer.Kind.REPLIED}
        try:
            answer_ticket(revision=asked, by=person_of(request), **values)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{asked.ticket}: the workroom has your answer.")
            return redirect(way_back(request) or asked.ticket)
    return _draw(request, asked, form)


def _answer_form(revision: TicketRevision, data: Any = None) -> AnswerForm:
    return AnswerForm(data, freeing=freeing(revision), kind=revision.ticket.garment.kind)


@require_safe
def ticket_pdf(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """The paper of one revision; of a replaced one it says so."""
    row = _revision(number, revision)
    return _pdf(request, [row.pk], f"{row.ticket.number}-{row.revision}")


@require_safe
def label_pdf(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """The same as a label of 100 by 150 mm, to hang on the garment."""
    row = _revision(number, revision)
    return _pdf(request, [row.pk], f"{row.ticket.number}-{row.revision}-label", LABEL)


@require_safe
def tickets_pdf(request: HttpRequest) -> HttpResponse:
    """All that is owed for one day in one PDF: ``?day=2026-02-02``."""
    form = DayForm(request.GET)
    if not form.is_valid():
        messages.error(request, str(form.errors["day"][0]))
        return redirect("workroom:ticket_list")
    day = form.cleaned_data["day"]
    revisions = list(outstanding().filter(due_on=day).values_list("pk", flat=True))
    if not revisions:
        messages.info(request, f"Nothing is owed for {day:%A %-d %B %Y}.")
        return redirect("workroom:ticket_list")
    return _pdf(request, revisions, f"tickets-{day.isoformat()}")


def _tidy(number: str) -> str:
    """A number as typed in an address in its written form, or 404."""
    try:
        return numbers.tidy(number)
    except ValueError as error:
        raise Http404(str(error)) from error


def _newest(number: str) -> TicketRevision:
    rows = for_paper(with_state(newest_revisions()))
    found: TicketRevision = get_object_or_404(rows, ticket__number=_tidy(number))
    return found


def _revision(number: str, revision: int) -> TicketRevision:
    rows = for_paper(with_state(TicketRevision.objects.all()))
    found: TicketRevision = get_object_or_404(rows, ticket__number=_tidy(number), revision=revision)
    return found


def _sent(request: HttpRequest) -> Any:
    """What was sent, or None where a page is only asked for: an empty form is a form too."""
    return request.POST if request.method == "POST" else None


def _status(form: Any) -> int:
    return 422 if form.errors else 200


def _draw(
    request: HttpRequest, revision: TicketRevision, form: AnswerForm | ReplyForm
) -> HttpResponse:
    """The page of a revision; ``form`` is the one just sent, where one was refused."""
    replies = isinstance(form, ReplyForm)
    history = list(with_history(revision.ticket))
    context = {
        "form": form,
        "answer_form": _answer_form(revision) if replies else form,
        "reply_form": form if replies else ReplyForm(),
        "revision": revision,
        "garment": revision.ticket.garment,
        "lines": read_lines(revision, House.get().unit),
        "history": history,
        "newest": history[0],
        "stale": history[0].pk != revision.pk,
        "today": timezone.localdate(),
    }
    return render(request, "workroom/ticket_detail.html", context, status=_status(form))


def _pdf(
    request: HttpRequest,
    revisions: Iterable[uuid.UUID],
    name: str,
    sheet: tuple[str, str] = TICKET,
) -> HttpResponse:
    def address(number: str, revision: int) -> str:
        path = reverse("workroom:ticket_scan", args=[number, revision])
        return f"{settings.ADDRESS}{path}" if settings.ADDRESS else request.build_absolute_uri(path)

    pdf = render_tickets(
        for_paper(TicketRevision.objects.filter(pk__in=list(revisions))),
        unit=House.get().unit,
        address=address,
        sheet=sheet,
    )
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
