"""The owner's pages: who makes, what stages take, agreed overtime."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.form_fields import EntryForm
from customers.meanwhile import There
from customers.requests import status_of
from fittings.models import AgreedOvertime, Maker, StageTime
from fittings.promise import CRAFTS, STAGES
from fittings.promise import Stage as Row
from fittings.promising import services
from fittings.promising.forms import MakerForm, OvertimeForm, StageForm
from fittings.promising.page import NAMES
from fittings.promising.queries import house_stages
from garments.forms import add_errors
from garments.models import Kind
from garments.requests import is_kept_over, person_of

MAKER = ("name", "craft", "minutes", "since", "until", "user")


@require_http_methods(["GET", "POST"])
def maker_list(request: HttpRequest) -> HttpResponse:
    """Who makes, and one more."""
    form = MakerForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            maker = services.seat_maker(**form.values)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{maker} sits at the bench from {maker.since:%-d %B %Y}.")
            return redirect("promising:maker_list")
    today = timezone.localdate()
    makers = list(Maker.objects.select_related("user"))
    context = {
        "form": form,
        "makers": [maker for maker in makers if maker.sits_until(today)],
        "gone": [maker for maker in makers if not maker.sits_until(today)],
        "without": [
            name
            for key, name in CRAFTS.items()
            if not any(maker.craft == key and maker.sits_until(today) for maker in makers)
        ],
    }
    return render(request, "promising/maker_list.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def maker_update(request: HttpRequest, pk: int) -> HttpResponse:
    """Change someone's bench day, or say when they leave."""
    maker = get_object_or_404(Maker, pk=pk)
    form = MakerForm(request.POST or None, maker=maker)

    def there() -> There:
        now = Maker.objects.select_related("user").get(pk=pk)
        return There({name: getattr(now, name) for name in MAKER}, version=now.version)

    def write(values: dict[str, Any], version: int) -> None:
        services.change_maker(maker=maker, version=version, values=values)

    if is_kept_over(form, there, write):
        messages.success(request, f"{maker} is changed.")
        return redirect("promising:maker_list")
    context = {"form": form, "maker": maker}
    return render(request, "promising/maker_form.html", context, status=status_of(form))


@require_safe
def stage_list(request: HttpRequest) -> HttpResponse:
    """What every stage takes, by kind of garment, and which figures are the house's own."""
    own = {(row.kind, row.stage) for row in StageTime.objects.standing()}
    kinds = [
        (
            Kind(kind),
            [
                (row, NAMES[row.key], CRAFTS.get(row.craft, ""), (kind, row.key) in own)
                for row in rows
            ],
        )
        for kind, rows in house_stages().items()
    ]
    return render(request, "promising/stage_list.html", {"kinds": kinds})


@require_http_methods(["GET", "POST"])
def stage_update(request: HttpRequest, kind: str, stage: str) -> HttpResponse:
    """Say what a stage takes in this house."""
    shipped = _stage(kind, stage)
    now = next(row for row in house_stages()[kind] if row.key == stage)
    first = {"minutes": now.minutes, "wait_days": now.wait_days}
    form = StageForm(request.POST or None, initial=first, works=bool(shipped.craft))

    def there() -> There:
        last = _own(kind, stage)
        said = last or shipped
        values = {name: getattr(said, name) for name in first if name in form.fields}
        return There(values, by=last.by if last else None)

    def write(values: dict[str, Any], _: int) -> None:
        said = {"minutes": 0} | form.cleaned_data | values
        services.set_stage_time(kind=kind, stage=stage, by=person_of(request), **said)

    if is_kept_over(form, there, write):
        messages.success(request, f"{NAMES[stage]} takes what you said from here on.")
        return redirect("promising:stage_list")
    own = _own(kind, stage)
    context = {
        "form": form,
        "kind": Kind(kind),
        "name": NAMES[stage],
        "shipped": shipped,
        "own": own,
        "strike_id": uuid.uuid4(),
    }
    return render(request, "promising/stage_form.html", context, status=status_of(form))


def _own(kind: str, stage: str) -> StageTime | None:
    """What the house itself says of a stage, if it does."""
    return StageTime.objects.standing().filter(kind=kind, stage=stage).select_related("by").first()


@require_POST
def stage_strike(request: HttpRequest, kind: str, stage: str) -> HttpResponse:
    """Go back to the figure that comes with the program."""
    _stage(kind, stage)
    form = EntryForm(request.POST)
    if form.is_valid():
        _said(
            request,
            lambda: services.strike_stage_time(
                kind=kind, stage=stage, by=person_of(request), **form.cleaned_data
            ),
            f"{NAMES[stage]} takes what comes with the program again.",
        )
    return redirect("promising:stage_list")


@require_http_methods(["GET", "POST"])
def overtime_list(request: HttpRequest) -> HttpResponse:
    """Agreed overtime from today on, and more of it."""
    form = OvertimeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            services.agree_overtime(by=person_of(request), **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, "The overtime counts in every plan.")
            return redirect("promising:overtime_list")
    rows = AgreedOvertime.objects.standing().filter(last__gte=timezone.localdate())
    context: dict[str, Any] = {
        "form": form,
        "rows": [(row, uuid.uuid4()) for row in rows.order_by("first", "id")],
    }
    return render(request, "promising/overtime_list.html", context, status=status_of(form))


@require_POST
def overtime_strike(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Take agreed overtime back."""
    row = get_object_or_404(AgreedOvertime, pk=pk)
    form = EntryForm(request.POST)
    if form.is_valid():
        _said(
            request,
            lambda: services.strike_overtime(row=row, by=person_of(request), **form.cleaned_data),
            "The overtime is taken back.",
        )
    return redirect("promising:overtime_list")


def _stage(kind: str, stage: str) -> Row:
    for row in STAGES.get(kind, ()):
        if row.key == stage:
            return row
    raise Http404


def _said(request: HttpRequest, write: Any, news: str) -> None:
    try:
        write()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, news)
