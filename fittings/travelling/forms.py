"""What is typed about trips."""

import datetime
from typing import Any, cast

from django import forms
from django.contrib.auth.models import User

from customers.form_fields import EntryForm
from customers.models.customer import readable
from customers.people import name_of
from fittings.diary.forms import TIME_SHAPE, TimeInput
from fittings.diary.queries import fitters
from fittings.models import Trip
from fittings.models.travelling import LONGEST_WAY
from fittings.opendays.forms import DaysForm
from garments.forms import DAY_SHAPE, DayInput

HOUR = 60
WAY_SHAPE = "Write the way in minutes: 90."


class PeopleField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, obj: User) -> str:
        return name_of(obj)

    def clean(self, value: Any) -> Any:
        try:
            return super().clean(value)
        except OverflowError as error:  # SQLite cannot even look for a number beyond eight bytes
            refusal = self.error_messages["invalid_choice"] % {"value": "That"}
            raise forms.ValidationError(refusal, code="invalid_choice") from error


def _minutes(label: str) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=LONGEST_WAY,
        initial=HOUR,
        error_messages={
            "required": WAY_SHAPE,
            "invalid": WAY_SHAPE,
            "max_value": "A way takes a day at most: a longer one is a day of the trip.",
        },
    )


def _clock(label: str, at: datetime.time) -> forms.TimeField:
    said = {"invalid": TIME_SHAPE, "required": TIME_SHAPE}
    return forms.TimeField(label=label, initial=at, widget=TimeInput, error_messages=said)


class TripForm(DaysForm):
    """Where somebody goes, on which days and how they come back, and how long the way is."""

    town = forms.CharField(
        label="Town",
        max_length=60,
        validators=[readable],
        error_messages={"required": "Say where."},
    )
    place = forms.CharField(
        label="Place",
        max_length=40,
        validators=[readable],
        help_text="Where customers are fitted, one at a time: the Bell, room 4.",
        error_messages={"required": "Say at which place customers are fitted."},
    )
    address = forms.CharField(
        label="Address",
        max_length=300,
        required=False,
        widget=forms.Textarea({"rows": 2}),
        help_text="Customers read it in their messages and calendars.",
    )
    fitters = PeopleField(
        queryset=fitters(), label="Who goes", error_messages={"required": "Say who goes."}
    )
    repeats = forms.ChoiceField(
        label="How often",
        choices=Trip.Repeats.choices,
        required=False,
        widget=forms.RadioSelect,
        initial=Trip.Repeats.ONCE,
    )
    every = forms.IntegerField(
        label="Weeks from one trip to the next",
        min_value=1,
        max_value=26,
        required=False,
        initial=4,
        help_text="For every so many weeks alone.",
        error_messages={"invalid": "Write a number of weeks: 4."},
    )
    until = forms.DateField(
        label="No trip begins after",
        widget=DayInput,
        required=False,
        error_messages={"invalid": DAY_SHAPE},
        help_text="Empty: until it is ended.",
    )
    opens = _clock("Fittings there from", datetime.time(10))
    closes = _clock("To", datetime.time(17))
    there = _minutes("Minutes to get there")
    back = _minutes("Minutes to get back")
    field_order = (
        *("town", "place", "address", "fitters", "first", "last", "repeats", "every", "until"),
        *("opens", "closes", "there", "back"),
    )

    def clean(self) -> dict[str, Any]:
        """What is said of coming back counts where it comes back alone."""
        data = cast("dict[str, Any]", super().clean())
        if data.get("repeats") != Trip.Repeats.WEEKLY or data.get("every") is None:
            data["every"] = 1
        if not data.get("repeats"):
            data["until"] = None
        return data


class DayForm(forms.Form):
    """Which run of a trip a page is asked for."""

    day = forms.DateField(required=False)


class CallOffForm(EntryForm):
    """The run that does not take place, and whether any does after it."""

    first = forms.DateField(
        widget=forms.HiddenInput,
        error_messages={"required": "Open the page again.", "invalid": "Open the page again."},
    )
    onwards = forms.TypedChoiceField(
        label="What is called off",
        choices=[("", "this trip alone"), ("on", "this trip and all after it")],
        coerce=bool,
        empty_value=False,  # type: ignore[arg-type]
        required=False,
        widget=forms.RadioSelect,
        initial="",
    )
    reason = forms.CharField(
        label="Why",
        max_length=200,
        error_messages={"required": "Say why it is called off."},
    )
    anyway = forms.BooleanField(
        label="Keep what is booked, to be moved or cancelled one by one", required=False
    )
