"""The call-out line: heard and shown back as chips, then kept in one go."""

import uuid
from functools import partial

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_POST

from fittings.models import Remark
from fittings.session import services
from fittings.session.callout import CalloutForm
from fittings.session.page import Place, answered, find_place, refused, struck, whole_page

KEPT = ("callout", "seen", "zones", "behind")


@require_POST
@gzip_page
def callout_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """What was said, shown back; or of what was shown back, what is to be kept."""
    place = find_place(request, pk, number)
    keep = request.POST.get("do") == "keep"
    form = CalloutForm(request.POST, kind=place.garment.kind, unit=place.unit, keep=keep)
    if form.is_valid() and not keep:
        return _shown_back(request, place, form)
    if form.is_valid():
        try:
            services.keep_callout(
                entry_id=form.cleaned_data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                called=form.called,
                note=form.cleaned_data["note"],
                by=place.by,
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            note = " and a note" if form.cleaned_data["note"] else ""
            many = len(form.called)
            said = f"Kept: {many} {'entry' if many == 1 else 'entries'}{note}."
            return answered(request, place, said, KEPT, at="seen")
    return refused(request, place, form, "session/callout_answer.html", callout_form=form)


def _shown_back(request: HttpRequest, place: Place, form: CalloutForm) -> HttpResponse:
    shown = {"callout_form": form, "fitting": place.fitting, "garment": place.garment}
    if request.headers.get("HX-Request"):
        return render(request, "session/callout_answer.html", shown)
    return render(request, "session/fitting_detail.html", whole_page(place) | shown)


@require_POST
@gzip_page
def remark_strike(
    request: HttpRequest, pk: uuid.UUID, number: str, entry: uuid.UUID
) -> HttpResponse:
    place = find_place(request, pk, number)
    remark = get_object_or_404(
        Remark, pk=entry, fitting=place.fitting, garment=place.garment, void=False
    )
    strike = partial(services.strike_remark, remark=remark)
    return struck(request, place, strike, "Struck: the note.", ("seen",), at="seen")
