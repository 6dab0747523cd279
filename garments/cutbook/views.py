"""The house's cuts and their versions."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garments.cutbook.forms import CutForm, CutVersionForm
from garments.cutbook.services import add_cut_version, make_cut, set_cut_retired
from garments.forms import add_errors, with_value
from garments.models import Cut
from garments.queries import cuts_with_versions


@require_safe
def cut_list(request: HttpRequest) -> HttpResponse:
    return render(request, "garments/cut_list.html", {"cuts": cuts_with_versions()})


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
    form = CutVersionForm(request.POST or None, initial={"version": number})
    if request.method == "POST" and form.is_valid():
        try:
            added = add_cut_version(cut=cut, **form.cleaned_data)
        except ValidationError as error:
            add_errors(form, error)
            # The next sending is made knowing which number is free.
            with_value(form, "version", str(number))
        else:
            messages.success(request, f"{added} can be ordered now.")
            return redirect("garments:cut_list")
    context = {"form": form, "cut": cut, "number": number}
    return render(request, "garments/cut_form.html", context, status=422 if form.errors else 200)


@require_POST
def cut_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay a cut aside, or take it up again: the button says which."""
    cut = get_object_or_404(Cut, pk=pk)
    retired = request.POST.get("retired") == "yes"
    set_cut_retired(cut=cut, retired=retired)
    messages.success(request, f"{cut} is {'laid aside' if retired else 'in use again'}.")
    return redirect("garments:cut_list")
