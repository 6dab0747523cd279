"""The house's cuts and their versions."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.models import House
from garments.cutbook.figures import newest_figures
from garments.cutbook.forms import STARTS, CutForm, CutVersionForm
from garments.cutbook.services import add_cut_version, make_cut, set_cut_retired
from garments.cutting import data_of, house_cuts
from garments.forms import add_errors, with_value
from garments.models import Cut
from garments.queries import cuts_with_versions


@require_safe
def cut_list(request: HttpRequest) -> HttpResponse:
    """Every cut with its versions, and the figures of the newest."""
    cuts = [(cut, newest_figures(cut)) for cut in cuts_with_versions()]
    return render(request, "garments/cut_list.html", {"cuts": cuts})


@require_http_methods(["GET", "POST"])
def cut_create(request: HttpRequest) -> HttpResponse:
    """A new cut with its first version."""
    form = CutForm(request.POST or None, initial={"kind": request.GET.get("kind", "")})
    if request.method == "POST" and form.is_valid():
        try:
            made = make_cut(**form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{made.cut} can be ordered now.")
            return redirect("garments:cut_list")
    context = {"form": form}
    return render(request, "garments/cut_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def cut_version_create(request: HttpRequest, pk: int) -> HttpResponse:
    """The next version of a cut, with what is different about it."""
    cut = get_object_or_404(cuts_with_versions(), pk=pk)
    newest = next(iter(cut.versions.all()), None)
    number = newest.version + 1 if newest else 1
    start = house_cuts().get(request.GET.get("start", ""), {}).get(cut.kind)
    figures = data_of(start) if start else newest.data if newest else {}
    unit = House.get().unit
    form = CutVersionForm(
        request.POST or None,
        kind=cut.kind,
        unit=unit,
        figures=figures,
        initial={"version": number},
    )
    if request.method == "POST" and form.is_valid():
        try:
            added = add_cut_version(
                cut=cut,
                version=form.cleaned_data["version"],
                note=form.cleaned_data["note"],
                data=form.figures,
            )
        except ValidationError as error:
            add_errors(form, error)
            # The next sending is made knowing which number is free.
            with_value(form, "version", str(number))
        else:
            messages.success(request, f"{added} can be ordered now.")
            return redirect("garments:cut_list")
    starts = [] if figures else [s for s in STARTS if cut.kind in house_cuts().get(s[0], {})]
    context = {"form": form, "cut": cut, "number": number, "unit": unit, "starts": starts}
    return render(
        request, "garments/cut_version_form.html", context, status=422 if form.errors else 200
    )


@require_POST
def cut_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay a cut aside, or take it up again: the button says which."""
    cut = get_object_or_404(Cut, pk=pk)
    retired = request.POST.get("retired") == "yes"
    set_cut_retired(cut=cut, retired=retired)
    messages.success(request, f"{cut} is {'laid aside' if retired else 'in use again'}.")
    return redirect("garments:cut_list")
