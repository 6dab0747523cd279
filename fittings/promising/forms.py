"""What is asked of the plan, and what the owner says of makers, stages and overtime."""

import datetime
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.utils import timezone

from customers.form_fields import EntryForm
from customers.meanwhile import show_what_was
from fittings.models import Maker
from fittings.promise import CRAFTS, Case, Overtime, Period, PromiseError
from fittings.promise.benches import BENCH_MINUTES, LONGEST_DAY
from fittings.promise.calendar import FURTHEST
from fittings.promise.stages import MOST_DAYS, MOST_MINUTES
from fittings.promising.page import NAMES
from garments.forms import DAY_SHAPE, DayInput, PersonField
from garments.models import Kind

MINUTES_SHAPE = "Write whole minutes in figures, like 60."
CRAFT_CHOICES = [(key, name.capitalize()) for key, name in CRAFTS.items()]
MOST_OVERTIME = LONGEST_DAY - BENCH_MINUTES  # beyond it a day is longer than any bench day
FIRST_DAY = datetime.date(1950, 1, 1)  # nobody at the bench today came before it


class NearDay(forms.DateField):
    """A day within three years of today; a wrong year was typed otherwise."""

    widget = DayInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"invalid": DAY_SHAPE})
        super().__init__(**kwargs)

    def validate(self, value: datetime.date | None) -> None:
        super().validate(value)
        if value is not None and abs(value - timezone.localdate()) > FURTHEST:
            raise ValidationError("That is over three years away: look at the year.")


class MinutesField(forms.IntegerField):
    """Whole minutes."""

    def __init__(self, most: int, *, least: int = 1, **kwargs: Any) -> None:
        messages = {
            "required": MINUTES_SHAPE,
            "invalid": MINUTES_SHAPE,
            "min_value": f"{least} or more.",
            "max_value": f"More than {most}: look at the figure again.",
        }
        kwargs.setdefault("error_messages", messages)
        super().__init__(min_value=least, max_value=most, **kwargs)


class AskForm(forms.Form):
    """What somebody would like, and by when if they say so."""

    kind = forms.ChoiceField(
        label="Garment",
        choices=[(value, label.capitalize()) for value, label in Kind.choices],
        widget=forms.RadioSelect,
        initial=Kind.COAT,
    )
    wished = NearDay(label="Wished for", required=False)

    def clean_wished(self) -> datetime.date | None:
        day: datetime.date | None = self.cleaned_data["wished"]
        if day is not None and day < timezone.localdate():
            raise ValidationError("That day has gone by: ask for a day from today on.")
        return day


class WhatIfForm(forms.Form):
    """Changes to try on the plan, one or several together."""

    maker = forms.ChoiceField(
        label="Another maker", required=False, choices=[("", "nobody more"), *CRAFT_CHOICES]
    )
    overtime = forms.ChoiceField(
        label="Overtime for", required=False, choices=[("", "nobody"), *CRAFT_CHOICES]
    )
    minutes = MinutesField(MOST_OVERTIME, label="Minutes more each day", required=False)
    first = NearDay(label="From", required=False)
    last = NearDay(label="To", required=False)
    less = forms.ChoiceField(label="One fitting less", required=False)

    def __init__(self, *args: Any, fittings: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(key, NAMES[key]) for key in fittings]
        self.fields["less"].choices = [("", "all of them"), *named]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("overtime"):
            for name in ("minutes", "first", "last"):
                if values.get(name) is None and name not in self.errors:
                    self.add_error(name, "Overtime needs this too.")
        first, last = values.get("first"), values.get("last")
        if first and last and last < first:
            self.add_error("last", "This is before it begins.")
        if not self.errors and not any(values.get(n) for n in ("maker", "overtime", "less")):
            raise ValidationError("Choose something to try: a maker, overtime, or a fitting less.")
        return values

    def tried(self, case: Case, number: str) -> Case:
        """The case with the changes chosen; PromiseError when one cannot be made."""
        values = self.cleaned_data
        if values["maker"]:
            case = case.another_maker(values["maker"])
        if values["overtime"]:
            period = Period(values["first"], values["last"])
            case = case.overtime(Overtime(values["overtime"], values["minutes"], period))
        if values["less"]:
            case = case.one_fitting_less(number, values["less"])
        return case

    @property
    def said(self) -> str:
        """The changes chosen, in words."""
        values = self.cleaned_data
        said = []
        if values["maker"]:
            said.append(f"another {CRAFTS[values['maker']]}")
        if values["overtime"]:
            said.append(
                f"{values['minutes']} minutes of overtime a day for the "
                f"{CRAFTS[values['overtime']]}, {values['first']:%-d %B} to {values['last']:%-d %B}"
            )
        if values["less"]:
            said.append(f"no {NAMES[values['less']].lower()}")
        return "; ".join(said)


class MakerForm(forms.Form):
    """Someone at a bench. A change carries the ``version`` that was seen."""

    name = forms.CharField(label="Name", max_length=60)
    craft = forms.ChoiceField(label="Craft", choices=CRAFT_CHOICES)
    minutes = MinutesField(
        LONGEST_DAY,
        label="Minutes at the bench each day",
        initial=BENCH_MINUTES,
        help_text="420 are seven hours. Less when the house is open for less.",
    )
    since = forms.DateField(
        label="From",
        widget=DayInput,
        initial=timezone.localdate,
        error_messages={"invalid": DAY_SHAPE, "required": DAY_SHAPE},
    )
    until = NearDay(label="Last day", required=False)
    user = PersonField(
        label="Signs in as",
        required=False,
        queryset=User.objects.none(),
        empty_label="does not sign in",
        help_text="Their days off in the diary then count at the bench too.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, maker: Maker | None = None, **kwargs: Any) -> None:
        if maker is not None:
            names = ("name", "craft", "minutes", "since", "until", "version")
            kwargs["initial"] = {name: getattr(maker, name) for name in names}
            kwargs["initial"]["user"] = maker.user_id
        super().__init__(*args, **kwargs)
        people = User.objects.filter(is_active=True).order_by("first_name", "last_name", "pk")
        self.fields["user"].queryset = people  # type: ignore[attr-defined]
        if maker is not None:
            show_what_was(self)

    def clean_since(self) -> datetime.date:
        day: datetime.date = self.cleaned_data["since"]
        if not FIRST_DAY <= day <= timezone.localdate() + FURTHEST:
            raise ValidationError("Look at the year again.")
        return day

    @property
    def values(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class StageForm(EntryForm):
    """What a stage takes in this house."""

    minutes = MinutesField(MOST_MINUTES, label="Bench minutes of one pair of hands")
    wait_days = MinutesField(
        MOST_DAYS, least=0, label="Days that pass after it", help_text="Drying, delivery."
    )
    reason = forms.CharField(
        label="How you know", max_length=200, help_text="Counted on six coats in May."
    )

    def __init__(self, *args: Any, works: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not works:
            del self.fields["minutes"]
        show_what_was(self)


class OvertimeForm(EntryForm):
    """Overtime that is agreed: it counts in every plan from then on."""

    craft = forms.ChoiceField(label="Craft", choices=CRAFT_CHOICES)
    minutes = MinutesField(MOST_OVERTIME, label="Minutes more each day", initial=60)
    first = NearDay(label="From")
    last = NearDay(label="To")

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        try:
            if values.get("first") and values.get("last"):
                Period(values["first"], values["last"])
        except PromiseError as error:
            self.add_error("last", str(error))
        return values
