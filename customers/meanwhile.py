"""Two people at one form: what differs is merged, what both changed is shown with both and asked.

A form carries what it showed beside each field (Django's hidden initial values). Three texts of a
field decide: what it showed, what was typed over it, and what the record says now.
"""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.http import QueryDict

from customers.models import House
from customers.people import name_of

UNKNOWN: Final = object()  # what a form showed, when it did not say
Write = Callable[[dict[str, Any], int], object]


@dataclass(frozen=True)
class There:
    """What the record says now by the names of a form's fields, and who said so, where known."""

    values: Mapping[str, Any]
    by: User | None = None
    version: int = 0


def show_what_was(form: forms.BaseForm) -> None:
    """Have every visible field of ``form`` carry what it shows beside what is typed."""
    for name, field in form.fields.items():
        # Sent without it, a field has changed where it differs from what is there.
        carried = not form.is_bound or form.add_initial_prefix(name) in form.data
        field.show_hidden_initial = carried and not field.widget.is_hidden


def keep_over(form: Any, there: Callable[[], There], write: Write) -> bool:
    """Whether what a valid form says was kept over what is there now.

    Whoever changed another field meanwhile keeps theirs. Where both changed one, nothing is
    written: the form shows both and who, and once sent again the typing counts. ``form.clashed``
    says so. ``write`` gets the values by field and the version they go over; what it raises is
    raised here.
    """
    with transaction.atomic():
        House.take_turns()
        now = there()
        seen = form.cleaned_data.get("version")
        typed = {name: form.cleaned_data[name] for name in now.values}
        if seen == now.version and seen is not None:
            write(typed, now.version)
            return True
        merged, asked = _meet(form, typed, now, stale=seen is not None)
        if asked:
            _ask(form, merged, asked, now)
            return False
        if any(not _same(merged[name], now.values[name]) for name in merged) or seen is None:
            write(merged, now.version)
    return True


def _meet(
    form: Any, typed: Mapping[str, Any], now: There, *, stale: bool
) -> tuple[dict[str, Any], list[str]]:
    """The values to keep, and the fields that both changed."""
    merged, asked = dict(typed), []
    for name, theirs in now.values.items():
        if _same(typed[name], theirs):
            continue
        shown = _shown(form, name)
        if shown is UNKNOWN:
            asked += [name] if stale else []
        elif _same(shown, typed[name]):
            merged[name] = theirs
        elif not _same(shown, theirs):
            asked.append(name)
    return merged, asked


def _shown(form: Any, name: str) -> Any:
    field, key = form.fields[name], form.add_initial_prefix(name)
    if key not in form.data:
        return UNKNOWN
    try:
        return field.clean(field.hidden_widget().value_from_datadict(form.data, form.files, key))
    except ValidationError:
        # A field that must not be empty and was: nothing was there yet.
        return None


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, list | tuple | models.QuerySet):
        return set(one) == set(other or ())
    return bool(one == other or (not one and not other and one is not False and other is not False))


def _ask(form: Any, merged: Mapping[str, Any], asked: list[str], now: There) -> None:
    who = name_of(now.by)
    data = QueryDict(mutable=True)
    data.update(form.data)
    for name, theirs in now.values.items():
        field = form.fields[name]
        field.show_hidden_initial = not field.widget.is_hidden
        data.setlist(form.add_initial_prefix(name), _raw(field, theirs))
        if name not in asked:
            data.setlist(form.add_prefix(name), _raw(field, merged[name]))
    if "version" in form.fields:
        data[form.add_prefix("version")] = str(now.version)
    form.data, form.clashed = data, True
    form.add_error(
        None,
        f"{who or 'Someone else'} changed this while you had it open. Nothing you typed is lost: "
        "look at the fields marked here, then keep it again.",
    )
    show_theirs(form, {name: now.values[name] for name in asked}, now.by)


def show_theirs(form: Any, values: Mapping[str, Any], by: User | None) -> None:
    """Say beside each of these fields what somebody else kept there meanwhile."""
    named = f" by {name_of(by)}" if by else ""
    for name, value in values.items():
        told = _told(form.fields[name], value) or "nothing"
        form.add_error(name, f"“{told}” was kept meanwhile{named}. Keep again to put yours there.")


def _raw(field: forms.Field, value: Any) -> list[str]:
    """A value as a browser sends it."""
    prepared = field.prepare_value(value)
    if isinstance(prepared, list | tuple | set):
        return [str(one) for one in prepared]
    if isinstance(prepared, bool):
        return [str(prepared)]
    written = field.widget.format_value("" if prepared is None else prepared)
    return [str(one) for one in (written if isinstance(written, list) else [written or ""])]


def _told(field: Any, value: Any) -> str:
    """A value as it is read."""
    if hasattr(field, "label_from_instance"):
        return field.label_from_instance(value) if value else ""
    if hasattr(field, "choices"):
        labels = {str(key): str(label) for key, label in field.choices}
        chosen = value if isinstance(value, list | tuple) else [value]
        return ", ".join(labels.get(str(one), str(one)) for one in chosen)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.time):
        return f"{value:%H:%M}"
    if isinstance(value, datetime.date):
        return f"{value:%-d %B %Y}"
    return str(field.prepare_value(value) if value is not None else "")
