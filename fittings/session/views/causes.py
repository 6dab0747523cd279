"""The cause the fitter decides for, proposed or not, and taken back."""

import uuid
from functools import partial

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_POST

from fittings.models import CauseTaken, SpotAnswer
from fittings.session import causes, queries, services
from fittings.session.forms import CauseForm, SpotAnswerForm
from fittings.session.page import answered, find_place, refused, struck
from garments.forms import add_errors

BEHIND = ("behind",)


@require_POST
@gzip_page
def cause_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """A cause accepted with one tap, chosen from the list, or written in one's own words."""
    place = find_place(request, pk, number)
    form = CauseForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        book, version = causes.book_of_the_house()
        seen = list(queries.seen_so_far(place.fitting, place.garment))
        try:
            taken = services.take_cause(
                entry_id=data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                cause=data["cause"],
                words=data["words"],
                proposed=causes.proposal_for(place.fitting, place.garment, seen).record,
                book=book,
                version=version,
                by=place.by,
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            name = causes.cause_name(taken.cause) if taken.cause else taken.words
            return answered(request, place, f"Taken to be behind it: {name}.", BEHIND, at="behind")
    return refused(request, place, form, "session/refusal.html")


@require_POST
@gzip_page
def cause_strike(
    request: HttpRequest, pk: uuid.UUID, number: str, entry: uuid.UUID
) -> HttpResponse:
    place = find_place(request, pk, number)
    row = get_object_or_404(
        CauseTaken, pk=entry, fitting=place.fitting, garment=place.garment, void=False
    )
    strike = partial(services.strike_cause, taken=row)
    name = causes.cause_name(row.cause) if row.cause else row.words
    return struck(request, place, strike, f"Struck: {name}.", BEHIND, at="behind")


@require_POST
@gzip_page
def spot_answer_create(request: HttpRequest, pk: uuid.UUID, number: str) -> HttpResponse:
    """What a test done on the spot answered: yes or no, one tap."""
    place = find_place(request, pk, number)
    form = SpotAnswerForm(request.POST)
    if form.is_valid():
        test, yes = form.said
        try:
            kept = services.answer_spot_test(
                entry_id=form.cleaned_data["entry_id"],
                fitting=place.fitting,
                garment=place.garment,
                test=test,
                yes=yes,
                book=causes.book_of_the_house()[0],
                by=place.by,
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            said = f"Kept: {causes.answer_words(kept)}"
            return answered(request, place, said, BEHIND, at="behind")
    return refused(request, place, form, "session/refusal.html")


@require_POST
@gzip_page
def spot_answer_strike(
    request: HttpRequest, pk: uuid.UUID, number: str, entry: uuid.UUID
) -> HttpResponse:
    place = find_place(request, pk, number)
    row = get_object_or_404(
        SpotAnswer, pk=entry, fitting=place.fitting, garment=place.garment, void=False
    )
    strike = partial(services.strike_spot_answer, answer=row)
    said = f"Struck: {causes.answer_words(row)}"
    return struck(request, place, strike, said, BEHIND, at="behind")
