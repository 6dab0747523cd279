"""What is typed about who waits."""

import datetime
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from customers.form_fields import EntryForm
from fittings.diary.forms import (
    AHEAD_MESSAGE,
    TIME_SHAPE,
    GarmentsField,
    RoomField,
    TimeInput,
    is_too_far,
)
from fittings.diary.queries import fitters
from fittings.diary.slots import ClockError, moment
from fittings.models import Booking
from garments.forms import DAY_SHAPE, DayInput, PersonField
from garments.models import Garment, GarmentQuerySet


class WaitForm(EntryForm):
    """For what, with whom, and when a customer would come at short notice."""

    purpose = forms.ChoiceField(
        label="What for", choices=Booking.Purpose.choices, widget=forms.RadioSelect
    )
    garments = GarmentsField(queryset=Garment.objects.none(), label="Garments", required=False)
    fitter = PersonField(
        label="With",
        queryset=fitters(),
        required=False,
        empty_label="whoever is free",
        widget=forms.RadioSelect,
    )
    first = forms.DateField(
        label="From this day on",
        widget=DayInput,
        error_messages={"invalid": DAY_SHAPE} | {"required": "Say from which day on."},
    )
    last = forms.DateField(
        label="Up to this day",
        widget=DayInput,
        error_messages={"invalid": DAY_SHAPE} | {"required": "Say up to which day."},
    )
    since = forms.TimeField(
        label="Not before", required=False, widget=TimeInput, error_messages={"invalid": TIME_SHAPE}
    )
    until = forms.TimeField(
        label="Over by", required=False, widget=TimeInput, error_messages={"invalid": TIME_SHAPE}
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, garments: GarmentQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast("GarmentsField", self.fields["garments"]).queryset = garments

    def clean_last(self) -> datetime.date:
        day: datetime.date = self.cleaned_data["last"]
        if day < timezone.localdate():
            raise ValidationError("That day is over.")
        if is_too_far(day):
            raise ValidationError(AHEAD_MESSAGE)
        return day


class GiveForm(EntryForm):
    """A time that came free, as the page showed it. ``is_valid`` gives ``starts_at``."""

    date = forms.DateField(widget=forms.HiddenInput)
    time = forms.TimeField(widget=forms.HiddenInput)
    fitter = PersonField(queryset=fitters(), widget=forms.HiddenInput)
    room = RoomField(widget=forms.HiddenInput)
    starts_at: datetime.datetime

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        if data.get("room") is None:
            self.add_error("room", "That room is not used any more.")
        if "date" in data and is_too_far(data["date"]):
            self.add_error("date", AHEAD_MESSAGE)
        elif "date" in data and "time" in data:
            zone = timezone.get_default_timezone()
            try:
                self.starts_at = moment(data["date"], data["time"], zone)
            except ClockError as error:
                raise ValidationError("There is no such time.") from error
        return data
