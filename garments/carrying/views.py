"""Carry into the pattern: what past garments needed, accepted or left out line by line."""

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from customers.queries import unit_of
from customers.requests import UNPROCESSABLE
from garments import memory
from garments.carrying.forms import forms_of
from garments.carrying.queries import answers_of, lines_of, may_be_carried, past_needs
from garments.carrying.services import NOT_PROPOSED, answer_carry
from garments.forms import add_errors
from garments.requests import person_of
from garments.views import garment_of


@require_http_methods(["GET", "POST"])
def carry_page(request: HttpRequest, number: str) -> HttpResponse:
    """What past garments needed, each line to be carried or left out until the garment is cut."""
    garment = garment_of(number)
    unit = unit_of(garment.customer)
    told = past_needs(garment.customer, garment.kind, garment, unit)
    is_open = may_be_carried(garment)
    lines = lines_of(garment, told.needs if is_open else (), answers_of(garment), unit)
    forms = forms_of(lines, request.POST if request.method == "POST" else None)
    sent = next((form for form in forms if form.is_bound), None)
    refused = NOT_PROPOSED if request.method == "POST" and sent is None else ""
    if sent is not None and sent.is_valid():
        try:
            answer_carry(garment=garment, by=person_of(request), **sent.answered)
        except ValidationError as error:
            add_errors(sent, error)
        else:
            return redirect(f"{reverse('garments:carry_page', args=[number])}#{sent.line.key}")
    context = {
        "garment": garment,
        "forms": forms,
        "sent": sent,
        "refused": refused,
        "told": told,
        "left_out": [
            (row, memory.change_words(garment.kind, row.operation, row.seam))
            for row in told.left_out
        ],
        "open": is_open,
        "waiting": sum(line.answer is None for line in lines),
        "unit": unit,
    }
    status = UNPROCESSABLE if refused or (sent and sent.errors) else 200
    return render(request, "garments/carry_page.html", context, status=status)
