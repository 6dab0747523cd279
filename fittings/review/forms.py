"""What the owner asks of the review. It stands in the address, so a page can be kept or sent."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.validators import MaxValueValidator, MinValueValidator
from django.http import QueryDict

from customers.form_fields import EntryForm
from customers.people import name_of
from fittings.review.addresses import part_of
from fittings.review.asking import Asked, By, months_on
from fittings.review.labels import cut_name, who_has_cut
from garments.models import CutVersion, Kind

EARLIEST, LATEST = datetime.date(1900, 1, 1), datetime.date(2199, 12, 31)
BOUNDS = [
    MinValueValidator(EARLIEST, f"Give a day of {EARLIEST.year} or later."),
    MaxValueValidator(LATEST, f"Give a day of {LATEST.year} or earlier."),
]
MONTHS = 12


class CutterField(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: User) -> str:
        return name_of(obj)


class CutField(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: CutVersion) -> str:
        return cut_name(obj)


def day_field(label: str, *, required: bool = True) -> forms.DateField:
    return forms.DateField(
        label=label,
        required=required,
        input_formats=["%Y-%m-%d", "%d/%m/%Y"],
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        validators=BOUNDS,
        error_messages={
            "required": "Give a day.",
            "invalid": "Give the day as year-month-day, such as 2026-03-31.",
        },
    )


class AskForm(forms.Form):
    """The days, how to group, and whose garments."""

    since = day_field("From")
    until = day_field("To")
    by = forms.ChoiceField(
        label="Rows by",
        choices=[(by.value, by.label.capitalize()) for by in By],
        error_messages={
            "invalid_choice": "There are no rows by “%(value)s”: choose one of the list."
        },
    )
    kind = forms.ChoiceField(
        label="Garment",
        choices=[("", "Every kind"), *((kind.value, kind.label.capitalize()) for kind in Kind)],
        required=False,
        error_messages={
            "invalid_choice": "The house makes no “%(value)s”: choose one of the list."
        },
    )
    cutter = CutterField(
        queryset=who_has_cut().order_by("last_name", "first_name", "pk"),
        to_field_name="username",
        required=False,
        empty_label="Every cutter",
        error_messages={
            "invalid_choice": "“%(value)s” has cut nothing here: choose one of the list."
        },
    )
    cut = CutField(
        queryset=CutVersion.objects.select_related("cut"),
        required=False,
        empty_label="Every cut",
        error_messages={"invalid_choice": "There is no cut “%(value)s”: choose one of the list."},
    )

    def __init__(self, address: QueryDict, today: datetime.date) -> None:
        """Read the address; what it does not say is the last twelve months by cutter."""
        usual: dict[str, Any] = {"since": _usual_start(today), "until": today, "by": By.CUTTER}
        super().__init__({**usual, **address.dict()})

    def clean(self) -> dict[str, Any]:
        since, until = self.cleaned_data.get("since"), self.cleaned_data.get("until")
        if since and until and until < since:
            self.add_error("until", "This day is before the first. Give one on or after it.")
        return self.cleaned_data

    @property
    def asked(self) -> Asked:
        """The question of a valid form."""
        return _asked(self.cleaned_data)


class CloserForm(AskForm):
    """The same, with the days to hold them against: both or neither."""

    than_since = day_field("Held against, from", required=False)
    than_until = day_field("Held against, to", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        since, until = cleaned.get("than_since"), cleaned.get("than_until")
        if until and not since and "than_since" not in self.errors:
            self.add_error("than_since", "Give the first of these days too.")
        if since and not until and "than_until" not in self.errors:
            self.add_error("than_until", "Give the last of these days too.")
        if since and until and until < since:
            self.add_error("than_until", "This day is before the first. Give one on or after it.")
        elif since and until and _meet(cleaned, since, until):
            # Newcombe's range is of two that share nothing.
            self.add_error(
                "than_until", "These days run into those above: hold them against others."
            )
        return cleaned

    @property
    def asked(self) -> Asked:
        return _asked(self.cleaned_data, but=("than_since", "than_until"))

    @property
    def than(self) -> Asked | None:
        """The same question for the days to hold against; None when none are given."""
        since = self.cleaned_data["than_since"]
        if not since:
            return None
        return replace(self.asked, since=since, until=self.cleaned_data["than_until"])


class WhyForm(AskForm):
    """The same without rows, which say nothing there: they are only kept for the way back."""

    by = forms.CharField(required=False, widget=forms.HiddenInput)  # type: ignore[assignment]

    def clean_by(self) -> str:
        by: str = self.cleaned_data["by"]
        return by if by in By.values else By.CUTTER


class PartForm(AskForm):
    """The same, with the part of the days that a mark or a line is of."""

    first = day_field("Of these, from", required=False)
    last = day_field("Of these, to", required=False)

    @property
    def asked(self) -> Asked:
        return _asked(self.cleaned_data, but=("first", "last"))

    @property
    def part(self) -> Asked:
        """The question for that part alone; for all the days where the address names none."""
        asked, given = self.asked, self.cleaned_data
        return part_of(asked, given["first"] or asked.since, given["last"] or asked.until)


class LetterForm(forms.Form):
    """Which month the letter tells of."""

    month = forms.DateField(
        label="Month",
        input_formats=["%Y-%m"],
        widget=forms.DateInput({"type": "month"}, format="%Y-%m"),
        validators=BOUNDS,
        error_messages={
            "required": "Give a month.",
            "invalid": "Give the month as year-month, such as 2026-03.",
        },
    )

    def __init__(self, address: QueryDict, today: datetime.date) -> None:
        """Read the address; what it does not say is the month before this one."""
        last = months_on(today, -1)
        self.today = today
        super().__init__({"month": f"{last:%Y-%m}", **address.dict()})

    def clean_month(self) -> datetime.date:
        month: datetime.date = self.cleaned_data["month"]
        if month > self.today:
            raise forms.ValidationError("This month has not begun.")
        return month


def _asked(cleaned: dict[str, Any], but: Sequence[str] = ()) -> Asked:
    """The question, without the fields that only some forms have."""
    plain = {name: value for name, value in cleaned.items() if name not in but}
    return Asked(**{**plain, "by": By(plain["by"])})


def _meet(cleaned: dict[str, Any], since: datetime.date, until: datetime.date) -> bool:
    first, last = cleaned.get("since"), cleaned.get("until")
    return bool(first and last and since <= last and first <= until)


def _usual_start(today: datetime.date) -> datetime.date:
    """The first of the month eleven before this one: twelve months, the last as far as it goes."""
    return months_on(today, 1 - MONTHS)


class SendForm(EntryForm, LetterForm):
    """The month to send; ``entry_id`` makes a second tap the same sending."""
