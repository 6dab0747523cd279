"""Privacy: what is held, handed over, erased, kept for how long, and who looked at it."""

import tempfile
import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.meanwhile import There
from customers.models import Customer
from customers.requests import status_of
from fittings.models import Erasure, RetentionRule
from fittings.privacy import audit, keeping, mentions, queries, standing, sweeping
from fittings.privacy.erasing import erase_customer
from fittings.privacy.exporting import write_export
from fittings.privacy.forms import AuditForm, EraseForm, RuleForm
from fittings.session.queries import photographs_on_disk
from garments.forms import add_errors
from garments.requests import is_kept_over, person_of

FORM = ("GET", "POST")
PAGE = 50
SPOOL = 8 * 1024 * 1024  # bytes of a file kept in memory; more goes to the disk
REASONS = Erasure.Reason


@require_safe
def keeping_page(request: HttpRequest) -> HttpResponse:
    """The rule that holds, who is due by it, who was erased."""
    rule, now = keeping.rule(), timezone.now()
    context = {
        "rule": rule,
        "due": keeping.people_due(rule, now).count(),
        "pictures_due": keeping.photographs_due(rule, now).count(),
        "erased": Paginator(queries.erasures(), PAGE).get_page(request.GET.get("page")),
        "sweep_waits": sweeping.is_wanted(),
        "seen_days": keeping.SEEN_DAYS,
    }
    return render(request, "privacy/keeping_page.html", context)


@require_http_methods(FORM)
def rule_update(request: HttpRequest) -> HttpResponse:
    """How long people and photographs are kept."""
    held = keeping.rule()
    form = RuleForm(request.POST or None, initial=_as_typed(held))

    def there() -> There:
        now = keeping.rule()
        return There(_as_typed(now), by=now.by if now else None)

    def write(said: dict[str, Any], _: int) -> None:
        entry_id = form.cleaned_data["entry_id"]
        keeping.keep_rule(entry_id=entry_id, by=person_of(request), **said)

    if is_kept_over(form, there, write):
        messages.success(request, "The rule is kept. Look at what is due by it.")
        return redirect("privacy:due_list")
    context = {"form": form, "rule": held}
    return render(request, "privacy/rule_form.html", context, status=status_of(form))


def _as_typed(held: RetentionRule | None) -> dict[str, Any]:
    none = RetentionRule(years=None, photograph_months=None, alone=False)
    return {name: getattr(held or none, name) for name in ("years", "photograph_months", "alone")}


@require_safe
def due_list(request: HttpRequest) -> HttpResponse:
    """Who and what is due by the rule: nothing is done by looking."""
    rule, now = keeping.rule(), timezone.now()
    due = Paginator(keeping.people_due(rule, now), PAGE)
    context = {
        "rule": rule,
        "page_obj": due.get_page(request.GET.get("page")),
        "pictures_due": keeping.photographs_due(rule, now).count(),
    }
    return render(request, "privacy/due_list.html", context)


@require_POST
def photographs_drop(request: HttpRequest) -> HttpResponse:
    """Delete for good the photographs that are due by the rule; sent twice, none is left to go."""
    try:
        gone = keeping.drop_photographs(
            entry_id=uuid.uuid4(), now=timezone.now(), by=person_of(request)
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Deleted for good: {gone} photographs.")
    return redirect("privacy:due_list")


@require_safe
def customer_held(request: HttpRequest, number: str) -> HttpResponse:
    """What is held of a customer, kind by kind, and what can be done with it."""
    rows = Customer.objects.select_related("erasure__by")
    customer = get_object_or_404(rows, number=number)
    erasure = getattr(customer, "erasure", None)
    context = {
        "customer": customer,
        "held": queries.held_of(customer),
        "photographs": photographs_on_disk(customer).count(),
        "looks": queries.looks_at(customer),
        "consents": customer.consents.select_related("by", "struck_by").order_by("-at"),
        "erasure": erasure,
        "emptied": queries.emptied_by(erasure) if erasure else 0,
        "sweep_waits": sweeping.is_wanted(),
        "set_aside": sweeping.set_aside() if erasure else [],
    }
    return render(request, "privacy/customer_held.html", context)


@require_safe
def customer_export(_request: HttpRequest, number: str) -> FileResponse:
    """All of it in one file to hand over."""
    customer = get_object_or_404(Customer, number=number)
    now = timezone.localtime()
    # Closed by the answer, once it is sent.
    file = tempfile.SpooledTemporaryFile(max_size=SPOOL)  # noqa: SIM115
    write_export(file, customer, now)
    file.seek(0)
    name = f"{customer.number}-{now:%Y-%m-%d}.zip"
    answer = FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_http_methods(FORM)
def customer_erase(request: HttpRequest, number: str) -> HttpResponse:
    """What would go and what would stay, before; and the erasing itself."""
    customer = get_object_or_404(Customer, number=number)
    found = standing.open_with(customer)
    form = EraseForm(request.POST or None, closable=bool(found.closable))
    if request.method == "POST" and form.is_valid():
        try:
            erase_customer(customer=customer, by=person_of(request), **form.values)
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, f"{customer.number} is erased. Make a new copy of the house.")
            return redirect("privacy:customer_held", number=number)
    elif customer.erased_at:
        return redirect("privacy:customer_held", number=number)
    context = {
        "form": form,
        "customer": customer,
        "found": found,
        "held": queries.held_of(customer),
        "photographs": photographs_on_disk(customer).count(),
        "mentions": mentions.mentions_of(customer),
        "set_aside": sweeping.set_aside(),
    }
    return render(request, "privacy/customer_erase.html", context, status=status_of(form))


@require_safe
def looked_at(request: HttpRequest) -> HttpResponse:
    """Who saw whom and who changed what, for the owner."""
    form = AuditForm(request.GET)
    what = "changed" if request.GET.get("what") == "changed" else "seen"
    form.is_valid()
    ask = audit.changed if what == "changed" else audit.seen
    page, lines = ask(form.asked(), request.GET.get("page"))
    context = {"form": form, "what": what, "page_obj": page, "lines": lines, "asked": form.asked()}
    return render(request, "privacy/looked_at.html", context, status=status_of(form))
