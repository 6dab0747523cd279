"""Pages about people: finding, registering, changing, what they agreed to; and the house's own."""

from collections.abc import Callable
from functools import partial
from typing import cast

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.forms import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import replace_url

from customers.forms import (
    WORDINGS,
    ConsentForm,
    CustomerForm,
    FindForm,
    HouseForm,
    RegisterForm,
    VersionedForm,
)
from customers.meanwhile import keep_over
from customers.models import Consent, Customer, House
from customers.people import ERASED
from customers.queries import newest_customers
from customers.requests import status_of
from customers.services import record_consent, register_customer, update_customer, update_house

PAGE_LENGTH = 20  # as many as a tablet shows in two looks
FORM_METHODS = ["GET", "HEAD", "POST"]


@require_safe
def customer_find(request: HttpRequest) -> HttpResponse:
    """Customers by what is typed, or the newest ones; as one types only the list is drawn."""
    form = FindForm(request.GET)
    typed = form.cleaned_data["q"] if form.is_valid() else ""
    found = Customer.objects.matching(typed) if typed else newest_customers()
    context = {
        "form": form,
        "typed": typed,
        "page_obj": Paginator(found, PAGE_LENGTH).get_page(request.GET.get("page")),
    }
    part = "#found" if request.headers.get("HX-Target") == "found" else ""
    status = 422 if form.errors else 200
    page = render(request, f"customers/customer_find.html{part}", context, status=status)
    # The address keeps the question: a reload or the way back asks it again.
    return replace_url(page, request.get_full_path()) if part and not form.errors else page


@require_http_methods(FORM_METHODS)
def customer_create(request: HttpRequest) -> HttpResponse:
    form = RegisterForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        customer = register_customer(
            form_id=form.cleaned_data["form_id"],
            values=form.values,
            by=cast("User", request.user),
        )
        messages.success(request, f"{customer} is registered as {customer.number}.")
        return redirect(customer)
    status = 422 if form.errors else 200
    return render(request, "customers/customer_form.html", {"form": form}, status=status)


@require_http_methods(FORM_METHODS)
def customer_update(request: HttpRequest, number: str) -> HttpResponse:
    """Change a customer; when someone else did meanwhile, both say what and nothing is lost."""
    customer = get_object_or_404(Customer, number=number)
    if customer.erased_at:
        messages.error(request, ERASED)
        return redirect(customer)
    initial = model_to_dict(customer)
    form = CustomerForm(request.POST if request.method == "POST" else None, initial=initial)
    write = partial(update_customer, customer=customer, by=cast("User", request.user))
    if _is_kept(form, write):
        messages.success(request, f"{customer} is changed.")
        return redirect(customer)
    context = {"form": form, "customer": customer}
    return render(request, "customers/customer_form.html", context, status=status_of(form))


@require_http_methods(FORM_METHODS)
def consent_create(request: HttpRequest, number: str) -> HttpResponse:
    """Enter what a customer agreed to or refused; shows what they said before."""
    customer = get_object_or_404(Customer, number=number)
    asked = request.POST.get("kind") or request.GET.get("kind")
    kind = Consent.Kind(asked if asked in Consent.Kind.values else Consent.Kind.FITTING_PHOTOGRAPHS)
    initial = {"kind": kind, "wording": WORDINGS[kind]}
    form = ConsentForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_bound and form.is_valid():
        try:
            consent = record_consent(
                customer=customer, by=cast("User", request.user), **form.cleaned_data
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"Entered: {customer} {consent}.")
            return redirect(customer)
    context = {
        "form": form,
        "customer": customer,
        "kind": kind,
        "kinds": Consent.Kind,
        "consents": customer.consents.select_related("by").order_by("-at"),
    }
    status = 422 if form.errors else 200
    return render(request, "customers/consent_form.html", context, status=status)


@require_http_methods(FORM_METHODS)
def house_update(request: HttpRequest) -> HttpResponse:
    """The house's own settings, for its owner."""
    house = House.get()
    initial = model_to_dict(house)
    form = HouseForm(request.POST if request.method == "POST" else None, initial=initial)
    if _is_kept(form, partial(update_house, house=house, by=cast("User", request.user))):
        messages.success(request, "The house's settings are changed.")
        return redirect("customers:house_update")
    return render(request, "customers/house_form.html", {"form": form}, status=status_of(form))


def _is_kept(form: VersionedForm, write: Callable[..., object]) -> bool:
    """Whether what the form says was written; what both changed is asked in the form."""
    if not (form.is_bound and form.is_valid()):
        return False
    return keep_over(
        form, form.there, lambda values, version: write(version=version, values=values)
    )
