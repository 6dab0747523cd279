"""The post: what there is to tell, each message before it goes out, and what became of it."""

import uuid
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms.models import model_to_dict
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.meanwhile import keep_over
from customers.models import House
from customers.requests import CONFLICT, UNPROCESSABLE, status_of
from customers.versions import ChangedMeanwhileError
from fittings.diary.queries import booking_with_all
from fittings.models import Message, MessageKind, PostRules, Wording
from fittings.post import queries, services
from fittings.post.forms import MarkForm, RulesForm, WayForm, WordingForm
from fittings.post.letters import About, letter_about, sample
from fittings.post.wording import ALLOWED, PLACES, Words
from garments.forms import add_errors, with_value
from garments.models import Garment
from garments.requests import person_of

State = Message.State
SAID = {
    services.BY_MAIL: "It waits in the outbox and goes out in the house's hours.",
    services.BY_PHONE: "Entered: told by phone.",
    services.NOT_AT_ALL: "Held back: nothing is sent.",
}


@require_safe
def post_list(request: HttpRequest) -> HttpResponse:
    """What there is to tell, what waits, what went wrong, and what went out."""
    rules, house = PostRules.get(), House.get()
    context = {
        "offers": queries.offers(timezone.now(), rules),
        "stuck": queries.lately([State.FAILED, State.UNSURE, State.STOPPED]),
        "waiting": queries.lately([State.WAITING, State.SENDING]),
        "gone": queries.lately([State.SENT, State.TOLD, State.HELD]),
        "rules": rules,
        "alone": rules.reminders == PostRules.Reminders.ALONE,
        "hours": queries.sending_hours(house, rules),
        "has_server": bool(settings.MAIL_FROM),
    }
    return render(request, "post/post_list.html", context)


@require_http_methods(["GET", "POST"])
def booking_write(request: HttpRequest, pk: uuid.UUID, kind: str) -> HttpResponse:
    """A message about a booking, as the customer would read it, before it goes out."""
    if kind not in MessageKind.values or kind == MessageKind.READY:
        raise Http404
    return _write(request, kind, get_object_or_404(booking_with_all(), pk=pk))


@require_http_methods(["GET", "POST"])
def ready_write(request: HttpRequest, number: str) -> HttpResponse:
    """The message that a garment is ready for collection."""
    garment = get_object_or_404(Garment.objects.select_related("customer"), number=number)
    return _write(request, MessageKind.READY, garment)


def _write(request: HttpRequest, kind: str, about: About) -> HttpResponse:
    house = House.get()
    form = WayForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            message = services.write_message(
                kind=kind, about=about, by=person_of(request), **form.cleaned_data
            )
        except ValidationError as error:
            add_errors(form, error)
        else:
            messages.success(request, SAID[form.cleaned_data["way"]])
            return redirect(message)
    letter = letter_about(kind, about, house)
    if form.is_bound:
        with_value(form, "shown", letter.digest)
    former = Message.objects.filter(occasion=letter.occasion).first()
    context = {
        "form": form,
        "letter": letter,
        "about": about,
        "label": MessageKind(kind).label,
        "agreed": queries.may_write([letter.customer.pk]).get(letter.customer.pk),
        "former": former,
        "is_done": former is not None and former.state in Message.HOLDING,
        "hours": queries.sending_hours(house),
        "entry_id": uuid.uuid4(),
        "kinds": [] if kind == MessageKind.READY else _kinds(about),
        "kind": kind,
    }
    return render(request, "post/message_write.html", context, status=status_of(form))


def _kinds(about: Any) -> list[tuple[str, str]]:
    """The messages that make sense of a booking, for going from one to the other."""
    return [(kind, str(MessageKind(kind).label)) for kind in queries.kinds_for(about)]


@require_safe
def message_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One message as it was shown, and all that happened to it."""
    rows = Message.objects.select_related("customer", "booking", "garment", "by")
    message = get_object_or_404(rows, pk=pk)
    context = {
        "message": message,
        "events": message.events.select_related("by"),
        "may_again": message.state in {State.FAILED, State.UNSURE},
        "may_hold": message.state in {State.WAITING, State.UNSURE},
        "hours": queries.sending_hours(House.get()),
    }
    return render(request, "post/message_detail.html", context)


@require_POST
def message_mark(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Try a message once more, or hold it back."""
    message, form = get_object_or_404(Message, pk=pk), MarkForm(request.POST)
    if not form.is_valid():
        messages.error(request, "That cannot be done with a message. Load the page again.")
        return redirect(message)
    again = form.cleaned_data["what"] == "again"
    change = services.put_back if again else services.hold_back
    try:
        change(message=message, by=person_of(request))
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        messages.success(request, "It waits again." if again else "Held back: nothing is sent.")
    return redirect(message)


@require_safe
def wording_list(request: HttpRequest) -> HttpResponse:
    """Every kind of message as the house words it now."""
    house = House.get()
    kinds = [(kind, *queries.words_of(kind)) for kind in MessageKind]
    rows = [(kind, sample(words, house), number) for kind, words, number in kinds]
    return render(request, "post/wording_list.html", {"rows": rows})


@require_http_methods(["GET", "POST"])
def wording_update(request: HttpRequest, kind: str) -> HttpResponse:
    """Other words for a kind of message: looked at first, kept as its next version."""
    if kind not in MessageKind.values:
        raise Http404
    now, number = queries.words_of(kind)
    first = {"subject": now.subject, "body": now.body, "short": now.short, "seen": number}
    form = WordingForm(request.POST or None, kind=kind, initial=first)
    status, looked = 200, None
    if request.method == "POST" and form.is_valid():
        looked = sample(form.words, House.get())
        if request.POST.get("do") != "look":
            status = _keep(request, form, kind)
            if status == 200:  # noqa: PLR2004 - kept
                return redirect("post:wording_update", kind)
    context = {
        "form": form,
        "label": MessageKind(kind).label,
        "fillings": [(f"[{name}]", PLACES[name]) for name in ALLOWED[kind]],
        "looked": looked or (None if form.errors else sample(now, House.get())),
        "versions": Wording.objects.filter(kind=kind).select_related("by"),
        "number": number,
    }
    status = status if status == CONFLICT else status_of(form)
    return render(request, "post/wording_form.html", context, status=status)


def _keep(request: HttpRequest, form: WordingForm, kind: str) -> int:
    """Keep the words and say so, or put beside the fields why not; the status of the answer."""
    data = form.cleaned_data
    words: Words = form.words
    try:
        services.word_message(
            entry_id=data["entry_id"],
            kind=kind,
            words=words,
            seen=data["seen"],
            by=person_of(request),
        )
    except ChangedMeanwhileError as changed:
        with_value(form, "seen", str(changed.row.number))  # type: ignore[attr-defined]
        form.add_error(None, "Someone else worded it meanwhile: look below, then keep yours again.")
        return CONFLICT
    except ValidationError as error:
        add_errors(form, error)
        return UNPROCESSABLE
    messages.success(request, "Kept: messages written from now on read so.")
    return 200


@require_http_methods(["GET", "POST"])
def rules_update(request: HttpRequest) -> HttpResponse:
    """When reminders are due and go out, and how calendars name customers."""
    rules = PostRules.get()
    form = RulesForm(request.POST or None, initial=model_to_dict(rules))

    def write(values: dict[str, Any], version: int) -> None:
        services.update_rules(rules=rules, version=version, values=values)

    if request.method == "POST" and form.is_valid() and keep_over(form, form.there, write):
        messages.success(request, "The rules of the post are changed.")
        return redirect("post:rules_update")
    context = {"form": form, "hours": queries.sending_hours(House.get(), rules)}
    return render(request, "post/rules_form.html", context, status=status_of(form))
