"""What is typed about the house's calendar."""

import datetime
from collections.abc import Iterator, Mapping
from typing import Any, cast

from django import forms
from django.contrib.auth.models import User
from django.forms import BoundField

from customers.form_fields import EntryForm
from customers.meanwhile import show_what_was
from fittings.config.access import ROLES
from fittings.models import Absence, Closure, HolidayRule
from fittings.models.calendar import WEEKDAYS
from fittings.opendays.closings import Week
from fittings.promise.public_holidays import countries, parts_of
from garments.forms import DAY_SHAPE, DayInput, PersonField

TIME_WRONG = {"invalid": "Write the time as hours and minutes: 09:00."}


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self, label: str) -> None:
        super().__init__(format="%H:%M", attrs={"step": "300", "aria-label": label})


class WeekForm(EntryForm):
    """Opening and closing of each weekday; both empty is closed."""

    def __init__(self, *args: Any, week: Week, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.update(self.shown(week))
        for weekday, name in enumerate(WEEKDAYS):
            for end in ("opens", "closes"):
                self.fields[f"{end}_{weekday}"] = forms.TimeField(
                    label=f"{name} {end}",
                    required=False,
                    error_messages=TIME_WRONG,
                    widget=ClockInput(f"{name} {end}"),
                )
        show_what_was(self)

    @staticmethod
    def shown(week: Week) -> dict[str, datetime.time | None]:
        """The hours of a week by the names of the fields; a closed day has none."""
        hours: dict[str, datetime.time | None] = {}
        for weekday in range(len(WEEKDAYS)):
            opens, closes = week.get(weekday) or (None, None)
            hours |= {f"opens_{weekday}": opens, f"closes_{weekday}": closes}
        return hours

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        for weekday, name in enumerate(WEEKDAYS):
            ends = (f"opens_{weekday}", f"closes_{weekday}")
            given = [end for end in ends if data.get(end) is not None]
            if len(given) == 1 and not set(ends) & set(self.errors):
                missing = next(end for end in ends if end not in given)
                self.add_error(missing, f"{name}: give both times, or neither when it is closed.")
        return data

    @staticmethod
    def week_of(
        data: Mapping[str, Any],
    ) -> dict[int, tuple[datetime.time, datetime.time] | None]:
        """Opening and closing by weekday; ``data`` as the fields clean to."""
        return {
            weekday: (data[f"opens_{weekday}"], data[f"closes_{weekday}"])
            if data[f"opens_{weekday}"]
            else None
            for weekday in range(len(WEEKDAYS))
        }

    @property
    def rows(self) -> Iterator[tuple[str, BoundField, BoundField]]:
        """Each weekday's name with its two fields."""
        return (
            (name, self[f"opens_{weekday}"], self[f"closes_{weekday}"])
            for weekday, name in enumerate(WEEKDAYS)
        )


class DaysForm(EntryForm):
    """A first and a last day; the last left empty, it is that one day."""

    first = forms.DateField(
        label="First day",
        widget=DayInput,
        error_messages={"invalid": DAY_SHAPE} | {"required": "Say from which day."},
    )
    last = forms.DateField(
        label="Last day",
        widget=DayInput,
        required=False,
        error_messages={"invalid": DAY_SHAPE},
        help_text="It counts too. Empty: that one day.",
    )

    def clean_last(self) -> datetime.date | None:
        last: datetime.date | None = self.cleaned_data["last"] or self.cleaned_data.get("first")
        return last


class ClosureForm(DaysForm):
    reason = forms.CharField(
        label="Why",
        max_length=80,
        error_messages={"required": "Say why the house is closed: stocktaking, summer closing."},
        help_text="Everyone who looks at the diary sees it.",
    )
    repeats = forms.ChoiceField(
        label="How often",
        choices=Closure.Repeats.choices,
        required=False,
        widget=forms.RadioSelect,
        initial=Closure.Repeats.ONCE,
    )


class AbsenceForm(DaysForm):
    person = PersonField(
        label="Who", queryset=User.objects.none(), empty_label=None, widget=forms.RadioSelect
    )
    kind = forms.ChoiceField(
        label="What",
        choices=Absence.Kind.choices,
        widget=forms.RadioSelect,
        initial=Absence.Kind.LEAVE,
        help_text="No more is kept of it: nobody's health belongs in this book.",
    )
    since = forms.TimeField(
        label="From this time",
        required=False,
        error_messages=TIME_WRONG,
        widget=ClockInput("From this time"),
        help_text="For a part of each day alone. Empty: from its beginning.",
    )
    until = forms.TimeField(
        label="Until this time",
        required=False,
        error_messages=TIME_WRONG,
        widget=ClockInput("Until this time"),
        help_text="Empty: to the end of the day.",
    )
    field_order = ("person", "first", "last", "since", "until", "kind")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        hands = User.objects.filter(groups__name__in=ROLES, is_active=True).distinct()
        people = cast("PersonField", self.fields["person"])
        people.queryset = hands.order_by("first_name", "last_name", "pk")


class HolidaysForm(EntryForm):
    """Whose public holidays: a country, and then its part, where parts differ."""

    country = forms.ChoiceField(label="Country", required=False)
    subdivision = forms.CharField(
        label="Part of it", max_length=40, required=False, widget=forms.Select
    )

    def __init__(self, *args: Any, rule: HolidayRule | None, **kwargs: Any) -> None:
        self.kept = rule.country if rule else ""
        super().__init__(*args, **kwargs)
        self.initial["country"] = self.kept
        self.initial["subdivision"] = rule.subdivision if rule else ""
        country = cast("forms.ChoiceField", self.fields["country"])
        country.choices = [("", "keeps no public holidays"), *countries().items()]
        part = cast("forms.Select", self.fields["subdivision"].widget)
        part.choices = [("", "the whole country"), *parts_of(self.kept).items()]
        if not parts_of(self.kept):
            self.fields["subdivision"].widget = forms.HiddenInput()
        show_what_was(self)

    def clean_subdivision(self) -> str:
        """A part chosen for the country before is dropped with it."""
        country, part = self.cleaned_data.get("country"), str(self.cleaned_data["subdivision"])
        return part if country == self.kept or part in parts_of(country or "") else ""

    @property
    def asks_part(self) -> bool:
        """Whether a country was chosen just now whose part can still be said."""
        country = self.cleaned_data["country"]
        return bool(country != self.kept and parts_of(country))


class WorkedForm(EntryForm):
    """Whether the house works on a holiday, by its name."""

    name = forms.CharField(max_length=200)
    open_anyway = forms.BooleanField(required=False)
