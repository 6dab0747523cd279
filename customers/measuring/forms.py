"""The form of a set of measures, and the choice of two sets to compare."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, TypedDict

from django import forms
from django.contrib.auth.models import User
from django.db.models import Q

from customers.form_fields import EntryForm, LengthFormField
from customers.forms import LOST
from customers.lengths import Length, parse
from customers.measuring.sheet import KEYS, SIDES, Group, Key, Measures, field_name, lay_out
from customers.models import MeasurementSet, Unit
from customers.people import name_of
from customers.plausible import Doubt, doubts, readings_apart
from customers.points import BY_KEY, Point, for_garments

# An overcoat needs the points of a coat.
GARMENTS = (("coat", "coat, overcoat"), ("waistcoat", "waistcoat"), ("trousers", "trousers"))


if TYPE_CHECKING:
    UserField = forms.ModelChoiceField[User]
else:  # Django's fields cannot be subscripted when they run
    UserField = forms.ModelChoiceField


class Place(TypedDict):
    """One place on the sheet, as the template draws it by hand: forty fields are many.

    A mapping, because the template finds a key at once and an attribute only after failing to.
    """

    name: str
    point: str
    side: str
    label: str
    value: str
    again: str
    last: str
    errors: list[str]
    again_errors: list[str]
    question: str
    confirmed: bool
    clear: bool


class MeasuresForm(EntryForm):
    """A set of measures: one field for each point and side, and one for its second reading.

    Complete, it still comes back once with what is doubtful (``customers.plausible``) and, unless
    the page listed it, with what is empty: each is put right or ticked. ``last`` holds what each
    point measured before, ``own`` what a set being corrected holds now.
    """

    taken_on = forms.DateField(
        label="Taken on", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    taken_by = UserField(label="Taken by", queryset=User.objects.none(), empty_label=None)
    unit = forms.ChoiceField(choices=Unit.choices, widget=forms.HiddenInput, error_messages=LOST)
    note = forms.CharField(
        label="Note", required=False, max_length=1000, widget=forms.Textarea({"rows": 2})
    )
    garments = forms.MultipleChoiceField(
        label="Measuring for",
        choices=GARMENTS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    twice = forms.BooleanField(label="take twice", required=False)
    without = forms.BooleanField(label="Keep the set without them", required=False)
    # Set by the page's script once it lists what is empty; without it the server asks.
    listed = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Any = None,
        *,
        unit: str,
        last: Measures,
        own: tuple[Measures, Measures] = ({}, {}),
        initial: dict[str, Any],
    ) -> None:
        super().__init__(data, initial={"unit": unit, **initial})
        self.length_unit = unit
        self.last = last
        self.own = own
        self.asked: dict[Key, str] = {}
        self.measures: dict[Key, Length] = {}
        self.second: dict[Key, Length] = {}
        people: forms.ModelChoiceField[User] = self.fields["taken_by"]  # type: ignore[assignment]
        people.queryset = _people(initial.get("taken_by"))
        # Read here once: the widget would read them again each time it looks.
        people.choices = [(person.pk, name_of(person)) for person in people.queryset]
        # A sheet that is only drawn needs none of the ninety fields that read what was typed.
        for key in KEYS if self.is_bound else ():
            for reading in (1, 2):
                self.fields[field_name(key, reading)] = LengthFormField(
                    unit=unit, required=False, label=_label(key, reading)
                )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        self.measures, self.second = (
            {key: length for key in KEYS if (length := cleaned.get(field_name(key, reading)))}
            for reading in (1, 2)
        )
        self._refuse_what_cannot_be(cleaned)
        self._ask(
            [
                *readings_apart(self.measures, self.second, unit=self.length_unit),
                *doubts(self.measures, self.last, unit=self.length_unit),
            ]
        )
        if empty := self._empty_unseen(cleaned):
            self.add_error("without", f"Not taken: {', '.join(empty)}.")
        return cleaned

    @property
    def confirmed(self) -> dict[Key, str]:
        """The questions that were ticked: the reading is as the tape said."""
        return {key: asked for key, asked in self.asked.items() if self._is_confirmed(key)}

    def groups(self) -> list[Group[Place]]:
        """All points from top to bottom with what the template shows of each."""
        return lay_out(self._place)

    def _refuse_what_cannot_be(self, cleaned: dict[str, Any]) -> None:
        for key in KEYS:
            for name in (field_name(key), field_name(key, 2)):
                if cleaned.get(name) == Length():
                    self.add_error(name, "A measure is more than nothing: leave it empty instead.")
        for key in set(self.second) - set(self.measures):
            if field_name(key) not in self.errors:
                self.add_error(field_name(key), "The first reading is missing.")
        if not self.measures and not self.errors:
            self.add_error(None, "Take at least one measure before keeping the set.")

    def _ask(self, found: list[Doubt]) -> None:
        for doubt in found:
            key = (doubt.point, doubt.side)
            # One tick answers all that is asked of a place, so all of it must stand there.
            self.asked[key] = " ".join(filter(None, (self.asked.get(key), doubt.question)))
        for key, question in self.asked.items():
            if not self._is_confirmed(key):
                self.add_error(field_name(key), question)

    def _is_confirmed(self, key: Key) -> bool:
        # The tick carries the question it answers: another figure asks another question.
        ticks = self.data.getlist("right")  # type: ignore[attr-defined]
        return key in self.asked and f"{field_name(key)}: {self.asked[key]}" in ticks

    def _empty_unseen(self, cleaned: dict[str, Any]) -> list[str]:
        if not self.measures or cleaned.get("listed") or cleaned.get("without"):
            return []
        wanted = for_garments(*cleaned.get("garments", ()))
        keys = [(point.key, side) for point in wanted for side in point.sides]
        return [_label(key) for key in keys if key not in self.measures]

    def _place(self, point: Point, key: Key) -> Place:
        name, again = field_name(key), field_name(key, 2)
        last = self.last.get(key)
        errors, again_errors = self._errors_of(name), self._errors_of(again)
        return Place(
            name=name,
            point=point.name,
            side=SIDES[key[1]],
            label=_label(key),
            value=self._typed(name, self.own[0].get(key)),
            again=self._typed(again, self.own[1].get(key)),
            last=""
            if last is None
            else last.text(self.length_unit).removesuffix(f" {self.length_unit}"),
            errors=errors,
            again_errors=again_errors,
            question=self.asked.get(key, ""),
            confirmed=self._is_confirmed(key),
            clear=not (errors or again_errors or key in self.asked),
        )

    def _errors_of(self, name: str) -> list[str]:
        return [str(error) for error in self.errors[name]] if name in self.errors else []

    def _typed(self, name: str, own: Length | None) -> str:
        if self.is_bound:
            return str(self.data.get(name, ""))
        return "" if own is None else _exact(own, self.length_unit)


class SetField(forms.TypedChoiceField):
    """One of the sets already read, by its id."""

    def __init__(self, *, label: str, rows: Sequence[MeasurementSet]) -> None:
        by_id = {str(row.pk): row for row in rows}
        super().__init__(
            label=label,
            choices=[(key, _set_label(row)) for key, row in by_id.items()],
            coerce=by_id.__getitem__,
            error_messages={"invalid_choice": "Choose one of this customer's sets."},
        )


class CompareForm(forms.Form):
    """Two sets of one customer."""

    def __init__(self, data: Any, *, sets: Sequence[MeasurementSet]) -> None:
        super().__init__(data)
        self.fields["one"] = SetField(label="From", rows=sets)
        self.fields["other"] = SetField(label="to", rows=sets)


def _set_label(row: MeasurementSet) -> str:
    corrected = "" if row.stands else ", corrected since"
    return f"{row.taken_on:%d %b %Y}{corrected}"


def _label(key: Key, reading: int = 1) -> str:
    words = (BY_KEY[key[0]].name, SIDES[key[1]], "again" if reading == 2 else "")  # noqa: PLR2004
    return " ".join(word for word in words if word)


def _exact(length: Length, unit: str) -> str:
    """The length as it would be typed, so that what is left alone stays what it was."""
    text = length.text(unit).removesuffix(f" {unit}")
    if parse(text, unit) == length:
        return text
    written = str(length)  # in inches it names no unit
    return written if written.endswith("cm") else f"{written} in"


def _people(taken_by: User | None) -> Any:
    """Who may have held the tape: everyone who can sign in, and who took the set before."""
    active = Q(is_active=True)
    known = active | Q(pk=taken_by.pk) if taken_by else active
    return User.objects.filter(known).order_by("first_name", "last_name", "pk")
