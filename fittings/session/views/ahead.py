"""What a tablet keeps for a day without a network: its pages, and screens not begun yet."""

import uuid

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from customers.queries import unit_of
from fittings.models import Booking, Fitting
from fittings.session import queries
from fittings.session.page import Place, whole_page
from garments.requests import person_of


@require_safe
def day_pages(request: HttpRequest) -> JsonResponse:
    """Addresses of today's work: what is due, what is open since this morning, and the lists."""
    today = timezone.localdate()
    pages = [reverse("diary:today"), reverse("session:fitting_list")]
    for booking in queries.due_on(today):
        if booking.purpose == Booking.Purpose.MEASURE:
            pages.append(reverse("customers:set_create", args=[booking.customer.number]))
        else:
            address = reverse("session:fitting_ahead", args=[booking.pk])
            pages += [
                address,
                *(f"{address}?garment={each.number}" for each in booking.garments.all()),
            ]
    since = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    for fitting in queries.open_sessions(since=since):
        address = fitting.get_absolute_url()
        pages += [address, *(f"{address}?garment={each.number}" for each in fitting.garments.all())]
    return JsonResponse({"user": str(request.user.pk), "pages": pages})


@require_safe
@gzip_page
def fitting_ahead(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """The screen of a booking before it is begun: nothing is written until its first touch."""
    rows = Booking.objects.select_related("customer", "fitter").prefetch_related(queries.in_order())
    booking = get_object_or_404(rows, pk=pk, state__in=Booking.HOLDING)
    fitting = Fitting.objects.filter(booking=booking).first()
    garments = list(booking.garments.all())
    if fitting is not None or not garments:
        return redirect(fitting or booking)
    fitting = Fitting(
        pk=queries.fitting_id_of(booking),
        customer=booking.customer,
        fitter=booking.fitter,
        purpose=booking.purpose,
        booking=booking,
    )
    fitting._prefetched_objects_cache = {"garments": garments}  # type: ignore[attr-defined]  # noqa: SLF001 - it is not saved
    asked = request.GET.get("garment", "")
    garment = next((each for each in garments if each.number == asked), garments[0])
    place = Place(fitting, garment, unit_of(booking.customer), person_of(request))
    context = whole_page(place) | {"begins": booking.pk}
    return render(request, "session/fitting_detail.html", context)
