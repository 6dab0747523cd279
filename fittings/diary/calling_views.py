"""A day to call again for who was missed: set, and ticked off."""

import datetime
import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from customers.form_fields import EntryForm
from customers.requests import UNPROCESSABLE
from fittings.diary import calling
from fittings.diary.forms import AHEAD_MESSAGE, DAY_MESSAGES, is_too_far
from fittings.models import Booking, CallBack
from fittings.spoken import weekday_text
from garments.requests import person_of


class CallForm(EntryForm):
    on = forms.DateField(
        error_messages=DAY_MESSAGES | {"required": "Say on which day to call again."}
    )

    def clean_on(self) -> datetime.date:
        day: datetime.date = self.cleaned_data["on"]
        if day < timezone.localdate():
            raise ValidationError("That day is over.")
        if is_too_far(day):
            raise ValidationError(AHEAD_MESSAGE)
        return day


class CalledForm(EntryForm):
    call = forms.UUIDField()


@require_POST
def call_again(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Set the day; what is wrong with it is said beside it."""
    booking = get_object_or_404(Booking.objects.select_related("customer"), pk=pk)
    form = CallForm(request.POST)
    if not form.is_valid():
        return _again(request, booking, [e for found in form.errors.values() for e in found])
    try:
        calling.call_again(booking=booking, by=person_of(request), **form.cleaned_data)
    except ValidationError as error:
        return _again(request, booking, error.messages)
    on = form.cleaned_data["on"]
    messages.success(request, f"{booking.customer.name}: call again on {weekday_text(on)}.")
    return redirect("diary:today")


def _again(request: HttpRequest, booking: Booking, wrong: list[Any]) -> HttpResponse:
    context = {
        "row": calling.Missed(booking),
        "wrong": wrong,
        "typed": request.POST.get("on", "")[:20],
        "new_id": uuid.uuid4,
    }
    return render(request, "diary/call_form.html", context, status=UNPROCESSABLE)


@require_POST
def called(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Tick the call off."""
    booking = get_object_or_404(Booking.objects.select_related("customer"), pk=pk)
    form = CalledForm(request.POST)
    if not form.is_valid():
        return _again(request, booking, ["That page is old: try again."])
    call = get_object_or_404(CallBack, pk=form.cleaned_data["call"], booking=booking, void=False)
    try:
        calling.tick_off(entry_id=form.cleaned_data["entry_id"], call=call, by=person_of(request))
    except ValidationError as error:
        return _again(request, booking, error.messages)
    messages.success(request, f"{booking.customer.name}: called.")
    return redirect("diary:today")
