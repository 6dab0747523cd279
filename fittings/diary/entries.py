"""Writing in the diary: book, move, cancel, say what became of it; and the rooms."""

import uuid
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from customers.models import Customer
from customers.numbers import tidy
from customers.people import name_of
from customers.queries import was_measured
from customers.requests import CONFLICT, UNPROCESSABLE, status_of
from customers.versions import ChangedMeanwhileError
from fittings.config.access import FITTING_ROOM, roles_of
from fittings.diary import queries, services
from fittings.diary.consequences import Meaning, meaning_of_move, promise_sentences
from fittings.diary.forms import (
    NEXT_LOOK,
    BookForm,
    CancelForm,
    CustomerForm,
    MarkForm,
    MoveForm,
    PrefillForm,
    Purpose,
    RoomForm,
    WhenForm,
    taking,
)
from fittings.diary.offering import last_fitter, offers_for
from fittings.diary.services import SlotTakenError
from fittings.diary.slots import Span
from fittings.diary.views import doors
from fittings.diary.visits import WORDS, Visit
from fittings.models import Booking, MessageKind, Room
from fittings.spoken import weekday_text
from fittings.travelling.queries import journeys_from
from garments.forms import add_errors, with_value
from garments.models import Garment, GarmentQuerySet, Stage
from garments.requests import person_of

CARRIED = ("date", "time", "purpose", "fitter", "room")
FOUND_AT_MOST = 20


@require_http_methods(["GET", "POST"])
def booking_create(request: HttpRequest) -> HttpResponse:
    """Find the customer, then choose garments, fitter and time; a time taken offers the next."""
    asked = CustomerForm(request.POST if request.method == "POST" else request.GET)
    if not asked.is_valid():
        return _find(request, asked)
    customer: Customer = asked.cleaned_data["customer"]
    if request.method == "GET" and "again" in request.GET:
        return _times_again(request, customer)
    form = _book_form(request, customer)
    if request.method == "POST" and form.is_valid():
        booking = _book(request, customer, form)
        if booking:
            when = timezone.localtime(booking.starts_at)
            messages.success(
                request, f"Booked: {customer.name}, {weekday_text(when)} {when:%H:%M}."
            )
            span = Span(booking.starts_at, booking.ends_at)
            garments = form.cleaned_data["garments"]
            for said in promise_sentences(garments, booking.purpose, span, booking.room):
                messages.warning(request, said)
            return redirect(booking)
    context = {"form": form, "customer": customer, "offers": _best(form, customer)}
    context |= {"may_insist": services.may_insist(person_of(request))}
    return render(request, "diary/booking_form.html", context, status=status_of(form))


def _times_again(request: HttpRequest, customer: Customer) -> HttpResponse:
    """The times alone, for what has been chosen on the form since it was drawn."""
    form = _form_for(customer, data=request.GET)
    form.is_valid()
    return render(request, "diary/offers.html", {"offers": _best(form, customer)})


def _find(request: HttpRequest, asked: CustomerForm) -> HttpResponse:
    """The step before: whose fitting it is. Found as one types, or by the button."""
    text = request.GET.get("q", "")[:100]
    carried = {name: request.GET[name] for name in CARRIED if request.GET.get(name)}
    context = {
        "text": text,
        "wrong": asked.errors["customer"] if "customer" in asked.data else [],
        "found": Customer.objects.matching(text)[:FOUND_AT_MOST],
        "asked": len(text.strip()) > 1,
        "carried": carried,
        "carry": urlencode(carried),
    }
    part = "#found" if request.htmx else ""  # type: ignore[attr-defined]
    status = UNPROCESSABLE if request.method == "POST" else 200
    return render(request, f"diary/booking_find.html{part}", context, status=status)


def _book_form(request: HttpRequest, customer: Customer) -> BookForm:
    queries.rooms_in_use()  # a house that has none yet gets its first
    if request.method == "POST":
        return _form_for(customer, data=taking(request.POST))
    return _form_for(customer, initial=_first_choice(request, list(_to_fit(customer))))


def _form_for(customer: Customer, **filled: Any) -> BookForm:
    hours, now = queries.house_hours(), timezone.now()
    return BookForm(garments=_to_fit(customer), hours=hours, now=now, **filled)


def _to_fit(customer: Customer) -> GarmentQuerySet:
    return customer.garments.exclude(stage=Stage.REMADE).order_by("-serial")


def _first_choice(request: HttpRequest, garments: list[Garment]) -> dict[str, Any]:
    """What is likely meant: what the link says, else the garment in work and its next look."""
    named = {_tidied(text) for key in ("garment", "garments") for text in request.GET.getlist(key)}
    chosen = [row for row in garments if row.number in named]
    in_work = [row for row in garments if not row.delivered]
    if not chosen and len(in_work) == 1:
        chosen = in_work
    if {row.stage for row in chosen} == {Stage.ORDERED} and not was_measured(chosen[0].customer):
        chosen = in_work = []  # nothing can be cut before he is measured
    first: dict[str, Any] = {
        "purpose": NEXT_LOOK[Stage(chosen[0].stage)] if chosen else Purpose.MEASURE,
        "garments": [row.pk for row in chosen],
        "fitter": _likely_fitter(request),
    }
    if in_work and not chosen:
        first.pop("purpose")
    chosen_too = PrefillForm(request.GET).chosen
    if (room := chosen_too.get("room")) and room.town:
        going = [pk for trip in journeys_from().of_room(room.pk) for pk in trip.fitters]
        first["fitter"] = next(iter(going), first["fitter"])
    return first | chosen_too


def _likely_fitter(request: HttpRequest) -> int | None:
    """Who books, where that is a fitter; for the desk whoever is free."""
    own = person_of(request)
    return own.pk if roles_of(own) & FITTING_ROOM else None


def _tidied(text: str) -> str:
    try:
        return tidy(text)
    except ValueError:
        return ""


def _book(request: HttpRequest, customer: Customer, form: BookForm) -> Booking | None:
    """Keep it, or put beside the fields why not."""
    data = form.cleaned_data
    try:
        return services.book_fitting(
            booking_id=data["entry_id"],
            customer=customer,
            garments=data["garments"],
            purpose=data["purpose"],
            note=data["note"],
            by=person_of(request),
            **_place(form, knows=None if data["fitter"] else last_fitter(customer)),
        )
    except SlotTakenError as taken:
        form.add_error("time", str(taken))
    except ValidationError as error:
        add_errors(form, error)
    return None


def _place(
    form: WhenForm, *, moving: Booking | None = None, knows: int | None = None
) -> dict[str, Any]:
    """Time, fitter and room as the services take them; whichever is free where none was named.

    ``knows`` is the key of the fitter who knows the customer: they go first.
    """
    assert form.span is not None  # noqa: S101 - a valid form has one
    room = form.cleaned_data["room"] or queries.free_room(
        queries.rooms_in_use(), form.span, leaving_out=moving
    )
    if room is None:
        raise ValidationError({"time": "Every room is taken then."})
    fitter = form.cleaned_data["fitter"] or queries.free_fitter(
        form.span, room, journeys=form.journeys, last=knows
    )
    if fitter is None:
        raise ValidationError({"time": "Nobody who fits is free then."})
    return {
        "starts_at": form.span.starts,
        "ends_at": form.span.ends,
        "fitter": fitter,
        "room": room,
        "anyway": form.insisted,
    }


def _best(form: BookForm, customer: Customer) -> dict[str, Any]:
    """The best times; with whoever is free while nobody said with whom."""
    data = getattr(form, "cleaned_data", form.initial)
    chosen = {getattr(row, "pk", row) for row in data.get("garments") or ()}
    named = form.data.get("fitter") if form.is_bound else form.initial.get("fitter")
    return offers_for(
        form,
        customer,
        purpose=data.get("purpose") or Purpose.FORWARD,
        garments=[row for row in customer.garments.in_work() if row.pk in chosen] if chosen else [],
        any_fitter=not named,
    )


@require_http_methods(["GET", "POST"])
def booking_move(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Another time, fitter or room; what it means is shown before it is kept.

    What someone else changed meanwhile is shown as well. A link may name the new time.
    """
    booking = get_object_or_404(queries.booking_with_all(), pk=pk)
    now, hours = timezone.now(), queries.house_hours()
    data = taking(request.POST) if request.method == "POST" else None
    wished = PrefillForm(request.GET).chosen if data is None else {}
    form = MoveForm(data, booking=booking, hours=hours, now=now, wished=wished)
    means, status = _meaning(form, booking, wished), 200
    if request.method == "POST" and form.is_valid():
        assert means is not None  # noqa: S101 - a valid form has a time
        if means.may_keep(request.POST.get("known", "")):
            try:
                _move(form, booking, person_of(request))
            except SlotTakenError as taken:
                form.add_error("time", str(taken))
            except ValidationError as error:
                add_errors(form, error)
            except ChangedMeanwhileError as changed:
                booking, status = _told(form, changed), CONFLICT
            else:
                return _moved(request, booking, means)
    offers = offers_for(
        form,
        booking.customer,
        purpose=booking.purpose,
        garments=booking.garments.all(),
        moving=booking,
    )
    context = {"form": form, "booking": booking, "offers": offers, "means": means}
    context |= {"may_insist": services.may_insist(person_of(request))}
    status = status if status == CONFLICT else status_of(form)
    return render(request, "diary/booking_move.html", context, status=status)


def _meaning(form: MoveForm, booking: Booking, wished: dict[str, Any]) -> Meaning | None:
    """What the time asked for would mean, if one was asked for that the clock can show."""
    if form.is_bound:
        form.is_valid()
        span, fitter, room = form.span, *(form.cleaned_data.get(n) for n in ("fitter", "room"))
    else:
        span = form.wished_span() if wished else None
        fitter, room = (wished.get(name, getattr(booking, name)) for name in ("fitter", "room"))
    return meaning_of_move(booking, span, fitter, room) if span and fitter else None


def _move(form: MoveForm, booking: Booking, by: User) -> None:
    values = {name: form.cleaned_data[name] for name in ("entry_id", "version", "reason")}
    services.move_booking(booking=booking, by=by, **values, **_place(form, moving=booking))


def _moved(request: HttpRequest, booking: Booking, means: Meaning) -> HttpResponse:
    """Say so; who was told the old time is written to next."""
    messages.success(request, "Moved.")
    if means.is_told:
        return redirect("post:booking_write", booking.pk, MessageKind.CHANGE)
    return redirect(booking)


@require_http_methods(["GET", "POST"])
def booking_cancel(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Let it go, with the reason."""
    booking = get_object_or_404(queries.booking_with_all(), pk=pk)
    form = CancelForm(request.POST or None, initial={"version": booking.version})
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            services.cancel_booking(booking=booking, by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        except ChangedMeanwhileError as changed:
            booking, status = _told(form, changed), CONFLICT
        else:
            messages.success(request, "Cancelled: the time is free again.")
            return redirect(booking)
    context = {"form": form, "booking": booking}
    status = status if status == CONFLICT else status_of(form)
    return render(request, "diary/booking_cancel.html", context, status=status)


def _told(form: MoveForm | CancelForm, changed: ChangedMeanwhileError) -> Booking:
    """Say what the booking is now; the next sending is made knowing it."""
    booking = queries.booking_with_all().get(pk=changed.row.pk)
    with_value(form, "version", str(booking.version))
    starts = timezone.localtime(booking.starts_at)
    last = booking.changes.select_related("by").latest("at")
    form.add_error(
        None,
        f"{name_of(last.by)} changed this booking meanwhile: it is {booking.get_state_display()}, "
        f"{weekday_text(starts)} {starts:%H:%M}. Send again if you still want this.",
    )
    return booking


@require_POST
def booking_mark(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Arrived, kept, missed, or put back: one tap; the row alone comes back to a tablet."""
    booking = get_object_or_404(queries.booking_with_all(), pk=pk)
    status = _mark(request, booking)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("diary:today") if request.POST.get("back") == "today" else redirect(booking)
    row = queries.booking_with_all().get(pk=pk)
    visit = Visit(row, timezone.now(), queries.by_garment(queries.owed([row])))
    context = {"visit": visit, **doors(request)}
    return render(request, "diary/visit_marked.html", context, status=status)


def _mark(request: HttpRequest, booking: Booking) -> int:
    """Enter what was tapped and say so, or say why not; the status of the answer."""
    form = MarkForm(request.POST)
    if not form.is_valid():
        messages.error(request, "That cannot be said of a booking. Load the page again.")
        return UNPROCESSABLE
    try:
        services.mark_booking(booking=booking, by=person_of(request), **form.cleaned_data)
    except (SlotTakenError, ChangedMeanwhileError) as refused:
        messages.error(request, str(refused))
        return CONFLICT
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return UNPROCESSABLE
    said = WORDS[services.What(form.cleaned_data["what"])].lower()
    messages.success(request, f"{booking.customer.name}: {said}.")
    return 200


@require_http_methods(["GET", "POST"])
def room_create(request: HttpRequest) -> HttpResponse:
    """The rooms of the house, and one more."""
    form = RoomForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        room = services.add_room(name=form.cleaned_data["name"])
        messages.success(request, f"{room} can be booked.")
        return redirect("diary:room_create")
    queries.rooms_in_use()  # a house that has none yet gets its first
    context = {"form": form, "rooms": Room.objects.order_by("retired", "town", "name")}
    return render(request, "diary/room_form.html", context, status=status_of(form))


@require_POST
def room_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a room no more; its bookings stay."""
    room = get_object_or_404(Room, pk=pk)
    try:
        services.retire_room(room=room)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{room} is offered no more.")
    return redirect("diary:room_create")
