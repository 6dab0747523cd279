"""The catalogue in the browser: read by the fitter, changed by the owner."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.meanwhile import show_theirs
from customers.models import House
from customers.people import name_of
from customers.requests import CONFLICT, status_of
from customers.versions import ChangedMeanwhileError
from fittings.catalogue import Change
from fittings.housebook import page, queries, services
from fittings.housebook.forms import CHANGE_FORMS, NEW_FORMS, FindForm, WhyForm, initial_of
from garments.forms import add_errors, with_value
from garments.requests import person_of

MORE = {"fault": ("link",), "cause": ("link", "remedy")}  # what is added to a row from its page
OVERTAKEN = (
    "{who} changed this row while you had it open: {why} What you typed is kept here. "
    "Look at the row as it is now, then keep yours or leave it."
)


@require_safe
def book_page(request: HttpRequest) -> HttpResponse:
    """Every fault and cause of a garment, whose each row is, found by zone and words."""
    book = queries.house_book()
    form = FindForm(request.GET or {"kind": page.KINDS[0]}, book=book.catalogue)
    asked = form.cleaned_data if form.is_valid() else {}
    context = page.listed(book.catalogue, asked) | {"form": form, "book": book}
    return render(request, "housebook/book_page.html", context)


@require_safe
def row_detail(request: HttpRequest, table: str, key: str) -> HttpResponse:
    return _detail(request, page.find_place(table, key), WhyForm())


@require_http_methods(["GET", "POST"])
def row_create(request: HttpRequest, table: str, kind: str) -> HttpResponse:
    """A row of the house's own, with what must come with it."""
    if table not in NEW_FORMS or kind not in page.KINDS:
        raise Http404("There is no such table, or no such garment.")
    form = NEW_FORMS[table](
        request.POST if request.method == "POST" else None,
        book=queries.house_catalogue(),
        kind=kind,
        unit=House.get().unit,
        initial={name: request.GET.get(name, "") for name in ("cause", "fault", "zone_key")},
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            rows = services.add_to_catalogue(
                entry_id=data["entry_id"],
                rows=form.new_rows(),
                first=data.get("first", False),
                why=data["why"],
                by=person_of(request),
            )
        except ValidationError as error:
            _add_errors(form, error)
        else:
            messages.success(request, "Added: it is offered from now on.")
            return redirect("housebook:row_detail", rows[0].table, rows[0].key)
    context = {"form": form, "table": table, "kind": kind}
    return render(request, "housebook/row_form.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
def row_update(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """Other values for a row; the shipped ones stay beside them."""
    place = page.find_place(table, key)
    first = bool(place.ours and place.ours.first)
    form = CHANGE_FORMS[table](
        request.POST if request.method == "POST" else None,
        book=place.book,
        kind=place.kind,
        unit=House.get().unit,
        row=place.row,
        initial=initial_of(place.row, first=first) | _seen(place),
    )
    if request.method == "POST" and form.is_valid():
        change = Change(
            form.changed_row(), retired=place.retired, first=form.cleaned_data.get("first", False)
        )
        if _changed(request, form, change):
            messages.success(request, "Changed: shown everywhere from now on.")
            return redirect(place.url)
    context = {"form": form, "place": place, "table": table, "kind": place.kind}
    return render(request, "housebook/row_form.html", context, status=_status(form))


@require_POST
def row_retire(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """Offer a row no more, or take it up again: its words stay with what was entered by it."""
    place = page.find_place(table, key)
    form = WhyForm(request.POST)
    retired = request.POST.get("retired") != "no"
    first = bool(place.ours and place.ours.first)
    change = Change(place.row, retired=retired, first=first)
    if form.is_valid() and _changed(request, form, change):
        messages.success(request, "Retired: offered no more." if retired else "Taken up again.")
        return redirect(place.url)
    return _detail(request, place, form)


@require_POST
def row_restore(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """Put a shipped row back as it came; what the house said of it stays in its history."""
    place = page.find_place(table, key)
    form = WhyForm(request.POST)
    if form.is_valid():
        try:
            services.put_back_as_shipped(
                entry_id=form.cleaned_data["entry_id"],
                name=(table, key),
                seen=form.cleaned_data["seen"],
                why=form.cleaned_data["why"],
                by=person_of(request),
            )
        except ChangedMeanwhileError as clash:
            _overtaken(form, clash)
        except ValidationError as error:
            _add_errors(form, error)
        else:
            messages.success(request, "Put back as shipped.")
            return redirect(place.url)
    return _detail(request, place, form)


def _changed(request: HttpRequest, form: Any, change: Change) -> bool:
    """Whether the change was kept; what speaks against it is put into the form."""
    try:
        services.change_catalogue(
            entry_id=form.cleaned_data["entry_id"],
            change=change,
            seen=form.cleaned_data["seen"],
            why=form.cleaned_data["why"],
            by=person_of(request),
        )
    except ChangedMeanwhileError as clash:
        _overtaken(form, clash)
    except ValidationError as error:
        _add_errors(form, error)
    else:
        return True
    return False


def _overtaken(form: Any, clash: ChangedMeanwhileError) -> None:
    """Say who came first; sent once more, the form is kept over that."""
    newer: Any = clash.row
    differ = [name for name in form.changed_data if name in form.initial and name != "seen"]
    form.add_error(None, OVERTAKEN.format(who=name_of(newer.by), why=f"“{newer.why}”."))
    show_theirs(form, {name: form.initial[name] for name in differ}, newer.by)
    form.overtaken = True
    with_value(form, "seen", str(newer.pk))


def _add_errors(form: Any, error: ValidationError) -> None:
    named = getattr(form, "named", None)
    if named and hasattr(error, "error_dict") and "key" in error.error_dict:
        form.add_error(named, error.message_dict["key"])
        return
    add_errors(form, error)


def _seen(place: page.Place) -> dict[str, Any]:
    return {"seen": place.newest.pk if place.newest else None}


def _detail(request: HttpRequest, place: page.Place, form: Form) -> HttpResponse:
    if not form.is_bound:
        form.initial = _seen(place)
    context = {
        "place": place,
        "line": page.line_of(place.book, place.row),
        "values": page.values_beside(place),
        "around": page.around(place),
        "versions": page.history(place),
        "form": form,
        "more": [
            (what, reverse("housebook:row_create", args=[what, place.kind]))
            for what in MORE.get(place.table, ())
        ],
    }
    return render(request, "housebook/row_detail.html", context, status=_status(form))


def _status(form: Any) -> int:
    return CONFLICT if getattr(form, "overtaken", False) else status_of(form)
