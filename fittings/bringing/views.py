"""Pages of a list: chosen, its columns named, checked, looked at, brought in; and taken back."""

import time
import uuid
from http import HTTPStatus
from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.form_fields import EntryForm
from customers.people import name_of
from customers.requests import UNPROCESSABLE, status_of
from fittings.bringing import kept, progress, queries, services
from fittings.bringing.forms import ColumnsForm, RowsForm, UploadForm, WriteForm
from fittings.bringing.standing import Fates, fates_of
from fittings.bringing.undoing import in_the_way, take_back_import
from fittings.bringing.writing import write_list
from fittings.lists import template_text
from fittings.lists.files import DELIMITERS
from fittings.models import Import, Upload
from garments.forms import add_errors
from garments.queries import cutters, newest_versions
from garments.requests import person_of

LONGEST_LOOK: Final = 20  # seconds one request checks where the browser cannot ask again by itself


@require_http_methods(["GET", "POST"])
def import_list(request: HttpRequest) -> HttpResponse:
    """Choose a list; below it what waits and what was brought in before."""
    form = UploadForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            upload = services.keep_upload(
                entry_id=form.cleaned_data["entry_id"],
                name=file.name,
                content=file.read(),
                by=person_of(request),
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            return redirect("bringing:upload_columns", upload.pk)
    context = {
        "form": form,
        "waiting": queries.uploads(),
        "imports": queries.imports()[:50],
    }
    return render(request, "bringing/import_list.html", context, status=status_of(form))


@require_safe
def template_csv(_request: HttpRequest) -> HttpResponse:
    """The file to fill in, with a cut and a cutter that this house has."""
    version, cutter = newest_versions("coat").first(), cutters().first()
    text = template_text(cut=version.cut.name if version else "", cutter=name_of(cutter))
    # The mark tells a spreadsheet program that the file is UTF-8.
    answer = HttpResponse(f"\ufeff{text}", content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="customers-to-bring-in.csv"'
    return answer


@require_http_methods(["GET", "POST"])
def upload_columns(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """What each column means, as guessed from its heading, to be put right."""
    upload = _upload(pk)
    form = ColumnsForm(
        request.POST if request.method == "POST" else None,
        table=services.table_of(upload),
        columns=kept.columns_again(upload.columns),
        initial={name: value for name, value in upload.answers.items() if value},
    )
    if request.method == "POST" and form.is_valid():
        services.map_columns(upload=upload, columns=form.mapped(), answers=form.answers())
        return redirect(upload)
    context = {"form": form, "upload": upload, "sign": DELIMITERS[upload.delimiter]}
    return render(request, "bringing/upload_columns.html", context, status=status_of(form))


@require_safe
def upload_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """How far the list is checked; then row by row what will happen."""
    upload = queries.uploads().filter(pk=pk).first()
    if upload is None:
        return redirect(get_object_or_404(Import, pk=pk, void=False))
    if not upload.mapped:
        return redirect("bringing:upload_columns", pk)
    if upload.checked < upload.rows:
        return render(request, "bringing/upload_checking.html", {"upload": upload})
    return _preview(request, upload)


@require_POST
def upload_check(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Check the next rows. HTMX asks again and again; any other browser is answered at the end."""
    upload, begun = _upload(pk), time.monotonic()
    upload = services.check_next_rows(upload=upload)
    if request.htmx:  # type: ignore[attr-defined]
        if not upload.mapped or upload.checked >= upload.rows:
            return redirect(upload)
        return render(request, "bringing/upload_checking.html#checking", {"upload": upload})
    while upload.mapped and upload.checked < upload.rows:
        if time.monotonic() - begun > LONGEST_LOOK:
            break
        upload = services.check_next_rows(upload=upload)
    return redirect(upload)


@require_POST
def upload_choose(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """What becomes of the rows of a page, or of all that wait."""
    upload = _upload(pk)
    if what := request.POST.get("all", ""):
        try:
            count = services.choose_all(upload=upload, what=what)
        except ValidationError as error:
            return _preview(request, upload, said=error.messages)
        messages.success(request, f"Chosen for {count} rows.")
        return redirect(upload)
    named = {name.removeprefix("row-") for name in request.POST if name.startswith("row-")}
    numbers = [int(name) for name in named if name.isascii() and name.isdigit() and len(name) < 7]  # noqa: PLR2004
    rows = upload.rows_read.filter(row__in=numbers)
    form = RowsForm(request.POST, rows=rows)
    if not form.is_valid():
        return _preview(request, upload, said=["That is not to be chosen: look at the rows again."])
    services.choose_rows(upload=upload, choices=form.choices())
    return redirect(f"{upload.get_absolute_url()}?{_where(request)}")


@require_POST
def upload_write(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Bring the list in. HTMX first gets the bar, which asks for the writing and looks on."""
    upload = queries.uploads().filter(pk=pk).first()
    if upload is None:
        return redirect(get_object_or_404(Import, pk=pk, void=False))
    form = WriteForm(request.POST)
    if not form.is_valid():
        return _preview(request, upload, said=["Look at the list again before bringing it in."])
    seen = form.cleaned_data["seen"]
    if request.htmx and "go" not in request.POST:  # type: ignore[attr-defined]
        return render(
            request, "bringing/upload_writing.html", {"upload": upload, "seen": seen, "part": 0}
        )
    try:
        entry = write_list(upload=upload, seen=seen, by=person_of(request))
    except ValidationError as error:
        if request.htmx:  # type: ignore[attr-defined]
            context = {"upload": upload, "said": error.messages}
            return render(request, "bringing/upload_refused.html", context, status=UNPROCESSABLE)
        return _preview(request, upload, said=error.messages)
    messages.success(request, f"{entry} is brought in.")
    return redirect(entry)


@require_safe
def upload_progress(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """How far the writing is, for the bar."""
    if not queries.uploads().filter(pk=pk).exists():
        get_object_or_404(Import, pk=pk)
        return HttpResponse(status=HTTPStatus.NO_CONTENT)  # written: that answer is under way
    done, of = progress.told(pk) or (0, 1)
    return render(request, "bringing/bar.html", {"part": done * 100 // of, "doing": "Writing"})


@require_POST
def upload_discard(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Forget a list; sent a second time there is nothing left to forget."""
    form = WriteForm(request.POST)
    if not form.is_valid():
        return _preview(request, _upload(pk), said=["Look at the list again before you decide."])
    if upload := queries.uploads().filter(pk=pk).first():
        services.throw_away(upload=upload)
        messages.success(request, f"{upload} is thrown away. Nothing of it was kept.")
    return redirect("bringing:import_list")


@require_safe
def import_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """What a list brought in, row by row, and whether it can be taken back."""
    return _import_page(request, get_object_or_404(queries.imports(), pk=pk), EntryForm())


@require_POST
def import_take_back(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    entry, form = get_object_or_404(queries.imports(), pk=pk), EntryForm(request.POST)
    if not form.is_valid():
        return _import_page(request, entry, form)
    try:
        take_back_import(entry_id=form.cleaned_data["entry_id"], entry=entry, by=person_of(request))
    except ValidationError as error:
        add_errors(form, error)
        return _import_page(request, entry, form)
    messages.success(request, f"{entry} is taken back: nothing of it is in the ledger any more.")
    return redirect(entry)


def _import_page(request: HttpRequest, entry: Import, form: EntryForm) -> HttpResponse:
    struck = getattr(entry, "struck_by", None)
    numbered = entry.brought.exclude(number="").order_by("row", "pk")
    context = {
        "entry": entry,
        "form": form,
        "struck": struck,
        "in_the_way": [] if struck else in_the_way(entry),
        "brought": Paginator(numbered, queries.ON_A_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "bringing/import_detail.html", context, status=status_of(form))


def _upload(pk: uuid.UUID) -> Upload:
    return get_object_or_404(queries.uploads(), pk=pk)


def _preview(request: HttpRequest, upload: Upload, said: list[str] | None = None) -> HttpResponse:
    fates: Fates = fates_of(upload)
    asked = request.GET.get("show", "")
    show = asked if asked in queries.SHOWN else "all"
    page = queries.page_of(upload, show, request.GET.get("page"))
    form = RowsForm(rows=page.object_list)
    context = {
        "upload": upload,
        "fates": fates,
        "show": show,
        "shown": queries.SHOWN,
        "page_obj": page,
        "lines": [(line, form[f"row-{line.row.row}"]) for line in queries.lines_of(page, fates)],
        "findings": queries.findings_of(upload) if fates.counts["wrong"] else [],
        "write": WriteForm(initial={"seen": upload.version}),
        "sign": DELIMITERS[upload.delimiter],
        "where": _where(request),
        "said": said or [],
    }
    status = UNPROCESSABLE if said else 200
    return render(request, "bringing/upload_detail.html", context, status=status)


def _where(request: HttpRequest) -> str:
    """The page of the preview to come back to, from what the address asked."""
    show, page = request.GET.get("show", ""), request.GET.get("page", "")
    kept_show = show if show in queries.SHOWN else "all"
    kept_page = page if page.isascii() and page.isdigit() and len(page) < 7 else "1"  # noqa: PLR2004
    return f"show={kept_show}&page={kept_page}"
