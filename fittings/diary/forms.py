"""What is typed about the diary: where to look, what to book, and what became of it."""

import datetime
from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils import timezone

from customers.form_fields import EntryForm
from customers.models import Customer
from customers.numbers import tidy
from fittings.diary.lasting import EACH_MORE, USUAL, minutes_for
from fittings.diary.queries import fitters
from fittings.diary.refusals import AHEAD, MINUTE, Refusal, day_refusal, refusal_of
from fittings.diary.services import What
from fittings.diary.slots import ClockError, Hours, Span, moment
from fittings.models import Booking, Room
from fittings.travelling.journeys import Journeys
from fittings.travelling.queries import journeys_from, place_of, rooms_to_choose
from garments.forms import DAY_SHAPE, DayInput, PersonField
from garments.models import Garment, GarmentQuerySet, Stage

if TYPE_CHECKING:
    GarmentsChoice = forms.ModelMultipleChoiceField[Garment]
    RoomChoice = forms.ModelChoiceField[Room]
else:  # Django's fields cannot be subscripted when they run
    GarmentsChoice = forms.ModelMultipleChoiceField
    RoomChoice = forms.ModelChoiceField

Purpose = Booking.Purpose
LENGTHS = (15, 30, 45, 60, 75, 90)
# What a garment at each stage comes for next.
NEXT_LOOK = {
    Stage.BASTED: Purpose.FIRST,
    Stage.CUT: Purpose.FIRST,
    Stage.ORDERED: Purpose.FIRST,
    Stage.FIRST_FITTING: Purpose.FORWARD,
    Stage.ALTERING: Purpose.FORWARD,
    Stage.FORWARD_FITTING: Purpose.FORWARD,
    Stage.FINISHING: Purpose.FINAL,
    Stage.FINISHED: Purpose.FINAL,
    Stage.FINAL_LOOK: Purpose.FINAL,
    Stage.DELIVERED: Purpose.RETURN,
    Stage.RETURNED: Purpose.RETURN,
}
DAY_MESSAGES = {
    "required": "Say on which day, or take one of the free times.",
    "invalid": DAY_SHAPE,
}
TIME_SHAPE = "Write the time as hours and minutes: 14:30."
TIME_MESSAGES = {
    "required": "Say when, or take one of the free times.",
    "invalid": TIME_SHAPE,
}


AHEAD_MESSAGE = "That is more than a year ahead."


def is_too_far(day: datetime.date) -> bool:
    return day > timezone.localdate() + AHEAD


class RoomField(RoomChoice):
    """A room of the house, or a place that somebody still travels to."""

    def __init__(self, **kwargs: Any) -> None:
        rooms = Room.objects.none()
        super().__init__(queryset=rooms, required=False, blank=True, **kwargs)

    def __deepcopy__(self, memo: dict[int, Any]) -> "RoomField":
        """Each form has a copy, with the places of its own day."""
        copied: RoomField = super().__deepcopy__(memo)
        copied.queryset = rooms_to_choose()
        return copied


class TimeInput(forms.TimeInput):
    """The device's own clock, in quarters of an hour."""

    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M", attrs={"step": "900"})


class GarmentsField(GarmentsChoice):
    widget = forms.CheckboxSelectMultiple

    default_error_messages = {"invalid_choice": "That is no garment of theirs: choose again."}

    def clean(self, value: Any) -> Any:
        try:
            return super().clean(value)
        except OverflowError as error:  # SQLite cannot even look for a number beyond eight bytes
            refusal = self.error_messages["invalid_choice"]
            raise ValidationError(refusal, code="invalid_choice") from error

    def label_from_instance(self, obj: Garment) -> str:
        return f"{obj.get_kind_display().capitalize()} {obj.number}"


class AskForm(forms.Form):
    """Which day, whose and which room's bookings to look at."""

    date = forms.DateField(label="Day", required=False, widget=DayInput)
    fitter = PersonField(label="With", queryset=fitters(), required=False, empty_label="everyone")
    room = RoomField(label="In", empty_label="every room")

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["date"].error_messages |= {"invalid": DAY_SHAPE}

    def clean_date(self) -> datetime.date:
        day: datetime.date = self.cleaned_data["date"] or self.today
        if abs(day.year - self.today.year) > 50:  # noqa: PLR2004 - a slip, and beyond it no calendar
            raise ValidationError("Choose a day of these years.")
        return day

    @property
    def day(self) -> datetime.date:
        """The day asked for; today where none, or nonsense, was asked for."""
        return cast(datetime.date, getattr(self, "cleaned_data", {}).get("date") or self.today)


class CustomerForm(forms.Form):
    """A customer by number; the check character catches a slip."""

    customer = forms.CharField(max_length=20)

    def clean_customer(self) -> Customer:
        try:
            number = tidy(self.cleaned_data["customer"])
        except ValueError as error:
            raise ValidationError(str(error)) from error
        customer = Customer.objects.filter(number=number).first()
        if customer is None:
            raise ValidationError(f"There is no customer {number}.")
        return customer


class PrefillForm(forms.Form):
    """What a link to the booking form may have chosen already; what it says wrongly is left out."""

    date = forms.DateField(required=False)
    time = forms.TimeField(required=False)
    purpose = forms.ChoiceField(choices=Purpose.choices, required=False)
    fitter = forms.ModelChoiceField(queryset=fitters(), required=False)
    room = RoomField()

    @property
    def chosen(self) -> dict[str, Any]:
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


class WhenForm(EntryForm):
    """When, with whom and where: what booking and moving have in common.

    After ``is_valid`` ``span`` is the time wished for, in UTC. ``refused`` is what the house's
    hours and calendar said against it; ``insisted`` that it was sent again for this very time.
    """

    date = forms.DateField(label="Day", widget=DayInput, error_messages=DAY_MESSAGES)
    time = forms.TimeField(label="From", widget=TimeInput, error_messages=TIME_MESSAGES)
    length = forms.TypedChoiceField(
        label="How many minutes",
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
    )
    fitter = PersonField(
        label="With", queryset=fitters(), empty_label=None, widget=forms.RadioSelect
    )
    room = RoomField(label="Room", empty_label="whichever is free", widget=forms.RadioSelect)
    usual_label = "as usual"

    def __init__(self, *args: Any, hours: Hours, now: datetime.datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hours = hours
        self.now = now
        self.span: Span | None = None
        self.refused: Refusal | None = None
        self.insisted = False
        self.very_time = ""
        choices = [(str(minutes), str(minutes)) for minutes in LENGTHS]
        cast(forms.ChoiceField, self.fields["length"]).choices = [("", self.usual_label), *choices]

    def usual_length(self) -> int:
        """Minutes when none are chosen."""
        return USUAL[Purpose.FORWARD]

    @property
    def lasts(self) -> datetime.timedelta:
        data = getattr(self, "cleaned_data", {})
        return datetime.timedelta(minutes=data.get("length") or self.usual_length())

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        day, at = data.get("date"), data.get("time")
        if day is not None and self._is_a_day_to_book(day) and at is not None:
            try:
                self._settle(self._span_of(day, at))
            except ValidationError as error:
                self.add_error("time", error)
        return data

    def _is_a_day_to_book(self, day: datetime.date) -> bool:
        if wrong := day_refusal(day, self.hours, self.now):
            self.add_error("date", wrong)
        return not wrong

    def _settle(self, span: Span) -> None:
        """Take the time, unless the house is closed then and nobody insisted on this very time."""
        shown = span.starts.astimezone(self.hours.zone)
        self.very_time = f"{shown:%Y-%m-%dT%H:%M} {self.lasts // MINUTE}"
        refused = self._refusal(span)
        if refused and refused.may_insist and self.data.get("anyway") == self.very_time:
            self.insisted = True
        elif refused:
            self.refused = refused
            self.add_error(refused.field, refused.why)
            return
        self.span = span

    @cached_property
    def journeys(self) -> Journeys:
        return journeys_from(self.hours.day_of(self.now))

    def _refusal(self, span: Span) -> Refusal | None:
        room, fitter = (self.cleaned_data.get(name) for name in ("room", "fitter"))
        if fitter is None:  # that is said beside the field already
            if not (room and room.town):
                return refusal_of(span, self.hours, self.now)
            return self.journeys.refusal_there(room.pk, room.town, span, self.hours, self.now)
        place = place_of(room or Room(), fitter)
        return self.journeys.refusal(place, span, self.hours, self.now)

    def _span_of(self, day: datetime.date, at: datetime.time) -> Span:
        if at.minute % 15 or at.second:
            raise ValidationError("Begin on a quarter of an hour: 10:00, 10:15, 10:30 or 10:45.")
        try:
            starts = moment(day, at, self.hours.zone)
        except ClockError as error:
            raise ValidationError(str(error)) from error
        return Span(starts, starts + self.lasts)

    @property
    def is_settled(self) -> bool:
        """Whether a time was chosen that may stand: then no other is offered."""
        return self.span is not None and not {"date", "time", "fitter"} & set(self.errors)

    def wished_from(self) -> datetime.datetime:
        """Where to begin to look for a free time: the day and time asked for, but not the past."""
        if self.span:
            return max(self.now, self.span.starts)
        day = getattr(self, "cleaned_data", self.initial).get("date")
        today = self.hours.day_of(self.now)
        if day is None or not today <= day <= today + AHEAD:
            return self.now
        return max(self.now, self.hours.whole_day(day).starts)


class BookForm(WhenForm):
    """A fitting for one or more garments of a customer."""

    purpose = forms.ChoiceField(label="What for", choices=Purpose.choices, widget=forms.RadioSelect)
    fitter = PersonField(
        label="With",
        queryset=fitters(),
        required=False,
        blank=True,
        empty_label="whoever is free",
        widget=forms.RadioSelect,
    )
    garments = GarmentsField(queryset=Garment.objects.none(), label="Garments", required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, *args: Any, garments: GarmentQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast("GarmentsField", self.fields["garments"]).queryset = garments
        self.fields["length"].help_text = "Usual: " + ", ".join(
            f"{purpose.label} {minutes}" for purpose, minutes in USUAL.items()
        )
        self.fields["length"].help_text += f"; {EACH_MORE} more for each further garment."

    @property
    def is_settled(self) -> bool:
        return super().is_settled if self.is_bound else bool(self.initial.get("time"))

    def usual_length(self) -> int:
        data = getattr(self, "cleaned_data", self.initial)
        purpose, garments = data.get("purpose"), data.get("garments")
        several = len(garments) if garments else 1
        return minutes_for(purpose, several) if purpose else super().usual_length()


class MoveForm(WhenForm):
    """Another time, fitter or room for a booking, with the reason."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=1_000_000)
    reason = forms.CharField(
        label="Why it is moved",
        max_length=300,
        error_messages={"required": "Say why it is moved."},
    )
    usual_label = "as it is"

    def __init__(
        self, *args: Any, booking: Booking, wished: Mapping[str, Any] | None = None, **kwargs: Any
    ) -> None:
        shown = timezone.localtime(booking.starts_at)
        initial = {
            "date": shown.date(),
            "time": shown.time(),
            "fitter": booking.fitter_id,
            "room": booking.room_id,
            "version": booking.version,
            **(wished or {}),
        }
        self.booking = booking
        super().__init__(*args, initial=initial, **kwargs)

    def usual_length(self) -> int:
        return (self.booking.ends_at - self.booking.starts_at) // datetime.timedelta(minutes=1)

    def wished_span(self) -> Span | None:
        """The time a link asks for, before anything was sent; None when the clock has none such."""
        try:
            starts = moment(self.initial["date"], self.initial["time"], self.hours.zone)
        except (ClockError, OverflowError):
            return None
        return Span(starts, starts + self.lasts)


class CancelForm(EntryForm):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=1_000_000)
    reason = forms.CharField(
        label="Why it is cancelled",
        max_length=300,
        error_messages={"required": "Say why it is cancelled."},
    )


class MarkForm(EntryForm):
    what = forms.ChoiceField(choices=[*What.choices])


class RoomForm(forms.Form):
    name = forms.CharField(label="Name of the room", max_length=40)


def taking(data: QueryDict) -> QueryDict:
    """A form as it was sent; where a free time was tapped, that is the time asked for.

    The fitter comes with it where the time was offered with whoever is free: who was chosen since
    outweighs that. So does the place of a trip.
    """
    day, _, rest = data.get("take", "").partition("T")
    at, _, where = rest.partition(" ")
    fitter, _, room = where.partition(" ")
    if not at:
        return data
    taken = data.copy()
    taken["date"], taken["time"] = day, at
    if fitter and not data.get("fitter"):
        taken["fitter"] = fitter
    if room and not data.get("room"):
        taken["room"] = room
    return taken
