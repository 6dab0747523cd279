"""What is typed about garments: orders, changes, cutting, stages, inlays, remakes."""

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils import timezone

from customers.form_fields import EntryForm, LengthFormField
from customers.ledger import LedgerQuerySet
from customers.lengths import Length
from customers.meanwhile import There, show_what_was
from customers.models import House, MeasurementSet
from customers.people import name_of
from customers.queries import last_changer
from garments.models import Cloth, CutVersion, Garment, Kind
from garments.promising import doubts
from garments.queries import Inlay, cutters, newest_versions
from garments.shears.cloth import DOUBLE_WIDTH, ClothError, Piece, read_length, written_length
from garments.stages import PIECES, next_by_hand

if TYPE_CHECKING:
    PersonChoice = forms.ModelChoiceField[User]
    SetChoice = forms.ModelChoiceField[MeasurementSet]
    VersionChoice = forms.ModelChoiceField[CutVersion]
else:  # Django's fields cannot be subscripted when they run
    PersonChoice = SetChoice = VersionChoice = forms.ModelChoiceField

WHOLE = "whole"
CLOTH = ("cloth_length", "cloth_width", "cloth_repeat")
AGREED = ("kind", "cut_version", "cloth", "cloth_pattern", *CLOTH, "cutter", "promised_on")
Place = tuple[str, str]


def add_errors(form: forms.Form, error: ValidationError) -> None:
    """Put a service's refusal beside the fields it speaks of; what has no field goes on top."""
    messages = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
    for name, sentences in messages.items():
        for sentence in sentences:
            form.add_error(name if name in form.fields else None, sentence)


def with_value(form: forms.Form, name: str, value: str) -> None:
    """Draw a sent form with one hidden value brought up to date; what was typed stays."""
    data = QueryDict(mutable=True)
    data.update(form.data)
    data[name] = value
    form.data = data


class PersonField(PersonChoice):
    """Someone of the house, by the name they go by."""

    def label_from_instance(self, obj: User) -> str:
        return name_of(obj)


DAY_SHAPE = "Write the day as year-month-day: 2026-11-25."


class DayInput(forms.DateInput):
    """The device's own calendar; ISO dates are what it sends and shows."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class CutChoice(forms.RadioSelect):
    """Cuts as tiles, each marked with its kind: the style sheet shows those of the chosen kind."""

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option: dict[str, Any] = super().create_option(name, value, *args, **kwargs)
        version = getattr(value, "instance", None)
        if version is not None:
            option["attrs"]["data-kind"] = version.cut.kind
        return option


class CutField(VersionChoice):
    widget = CutChoice

    def label_from_instance(self, obj: CutVersion) -> str:
        return f"{obj.cut.name}, version {obj.version}"


class ClothLengthField(forms.CharField):
    """A length of cloth: ``3.5 m``, ``3 yd 30 in``; empty is None. Without a unit, the house's."""

    def __init__(self, *, unit: str = "cm", **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(max_length=20, **kwargs)

    def clean(self, value: Any) -> Length | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_length(text, self.unit)
        except ClothError as error:
            raise ValidationError(str(error), code="cloth") from error

    def prepare_value(self, value: Any) -> Any:
        return written_length(value, self.unit) if isinstance(value, Length) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(self.prepare_value(initial), data)


class AgreedForm(EntryForm):
    """What is agreed with the customer, at the order and whenever it is changed."""

    cut_version = CutField(label="Cut", queryset=CutVersion.objects.none(), empty_label=None)
    cloth = forms.CharField(
        label="Cloth", max_length=120, help_text="Weight, colour, weave, bunch number."
    )
    cloth_pattern = forms.ChoiceField(
        label="Pattern of the cloth",
        choices=[(value, label.capitalize()) for value, label in Cloth.choices],
        initial=Cloth.PLAIN,
        widget=forms.RadioSelect,
        help_text="Stripes and checks must match across seams: it limits what can be altered.",
    )
    cutter = PersonField(label="Cutter", queryset=User.objects.none(), empty_label="Choose a name")
    promised_on = forms.DateField(
        label="Promised for",
        required=False,
        widget=DayInput,
        error_messages={"invalid": DAY_SHAPE},
    )
    notes = forms.CharField(
        label="Notes",
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 3}),
        help_text="Pockets, buttons, lining, what the customer asked for.",
    )
    all_the_same = forms.BooleanField(label="Promise it all the same", required=False)
    doubted = False

    def __init__(self, *args: Any, versions: QuerySet[CutVersion], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._add_cloth(House.get().unit)
        self.order_fields(AGREED)
        self.fields["cut_version"].queryset = versions  # type: ignore[attr-defined]
        self.fields["cutter"].queryset = cutters()  # type: ignore[attr-defined]

    def doubt_the_promise(self, kind: str, number: str = "") -> None:
        """Ask before a day is promised that cannot be kept, or not without breaking another."""
        day = self.cleaned_data.get("promised_on")
        # Asked last, of what is right otherwise: the plan is the dearest thing to make.
        if day and not self.errors:
            found = doubts(kind, day, number)
            self.doubted = bool(found)
            if found and not self.cleaned_data["all_the_same"]:
                self.add_error("promised_on", " ".join(found))

    def _add_cloth(self, unit: str) -> None:
        """What is known of the cloth, in the house's unit."""
        wide = DOUBLE_WIDTH.text(unit, 1)
        self.fields["cloth_length"] = ClothLengthField(
            label="Length of the piece",
            required=False,
            unit=unit,
            help_text=f"As {'3.5 yd or 3 yd 18 in' if unit == 'in' else '3.5 m'}. "
            "Asked before the shears if not known yet.",
        )
        for name, label, words in (
            ("cloth_width", "Width", f"{wide} if nothing is said."),
            ("cloth_repeat", "Repeat of the pattern", "From one place to the next like it."),
        ):
            self.fields[name] = LengthFormField(
                label=label, required=False, unit=unit, help_text=words
            )


class OrderForm(AgreedForm):
    """An order: what kind of garment, and all that is agreed."""

    kind = forms.ChoiceField(
        label="Garment",
        choices=[(value, label.capitalize()) for value, label in Kind.choices],
        widget=forms.RadioSelect,
        initial=Kind.COAT,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, versions=newest_versions(), **kwargs)
        today = timezone.localdate().isoformat()
        self.fields["promised_on"].widget.attrs["min"] = today

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        self.doubt_the_promise(values.get("kind", ""))
        return values

    @property
    def order(self) -> dict[str, Any]:
        """What the service writes, but for the form's id and the customer."""
        asked = self.fields.keys() - {*CLOTH, "all_the_same"}
        values = {name: self.cleaned_data[name] for name in asked}
        values["form_id"] = values.pop("entry_id")
        return values | {"piece": Piece.of(self.cleaned_data)}


class ChangeForm(AgreedForm):
    """A change of what was agreed. ``version`` is the row the person had before them."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    clashed = False

    def __init__(self, *args: Any, garment: Garment, **kwargs: Any) -> None:
        self.garment = garment
        agreed = {
            name: getattr(garment, name)
            for name in (*self.base_fields, *CLOTH)
            if name not in {"entry_id", "all_the_same"}
        }
        self.garment = garment
        agreed["cutter"] = garment.cutter_id
        agreed["cut_version"] = garment.cut_version_id
        versions = newest_versions(garment.kind) | CutVersion.objects.filter(
            pk=garment.cut_version_id
        ).select_related("cut")
        super().__init__(*args, versions=versions, initial=agreed, **kwargs)
        # Who cut it stays on the list, though they cut no more.
        self.fields["cutter"].queryset |= User.objects.filter(  # type: ignore[attr-defined]
            pk=garment.cutter_id
        ).distinct()
        show_what_was(self)

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        if "promised_on" in self.changed_data:
            self.doubt_the_promise(self.garment.kind, self.garment.number)
        return values

    def there(self) -> There:
        """What is agreed now."""
        rows = Garment.objects.select_related("cutter", "cut_version__cut", "customer")
        row = rows.get(pk=self.garment.pk)
        by = last_changer(row.customer, row.number)
        agreed = self.fields.keys() - {"entry_id", "version", "all_the_same"}
        return There({name: getattr(row, name) for name in agreed}, by=by, version=row.version)


class SetField(SetChoice):
    """A set of measures of this customer; another's is no choice at all."""

    widget = forms.RadioSelect

    def label_from_instance(self, obj: MeasurementSet) -> str:
        taker = name_of(obj.taken_by)
        return f"{obj.taken_on:%-d %B %Y}, by {taker}"


class PassForm(EntryForm):
    """A line before the shears taken on by name, for the words the page told."""

    measurement_set = SetField(queryset=MeasurementSet.objects.none(), widget=forms.HiddenInput)
    line = forms.CharField(max_length=60, widget=forms.HiddenInput)
    told = forms.CharField(max_length=500, widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why it is taken on",
        max_length=300,
        error_messages={"required": "Say why it is taken on."},
    )

    def __init__(self, *args: Any, sets: LedgerQuerySet[MeasurementSet], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["measurement_set"].queryset = sets  # type: ignore[attr-defined]


class CutForm(EntryForm):
    measurement_set = SetField(
        label="Cut from the measures of",
        queryset=MeasurementSet.objects.none(),
        empty_label=None,
        help_text="From then on this set stays as it is.",
    )

    def __init__(self, *args: Any, sets: LedgerQuerySet[MeasurementSet], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["measurement_set"].queryset = sets  # type: ignore[attr-defined]


class StageForm(EntryForm):
    stage = forms.ChoiceField(label="It is now", widget=forms.RadioSelect)
    reason = forms.CharField(label="Why", required=False, max_length=300)

    def __init__(self, *args: Any, garment: Garment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = next_by_hand(garment.stage)
        self.fields["stage"].choices = [  # type: ignore[attr-defined]
            (stage.value, stage.label.capitalize()) for stage in offered
        ]
        self.fields["stage"].error_messages["invalid_choice"] = (
            f"It is “{garment.get_stage_display()}”: that stage cannot come next."
        )


class InlayForm(EntryForm):
    """Every place of a garment that holds an inlay; only what was typed anew is counted."""

    def __init__(self, *args: Any, places: Sequence[Inlay], unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places: dict[str, Place] = {}
        for place in places:
            self.places[place.field] = (place.seam.key, place.side)
            self.fields[place.field] = LengthFormField(
                label=place.name,
                unit=unit,
                required=False,
                initial=place.now,
                # Judged by what the page showed: a seam altered meanwhile is not set back.
                show_hidden_initial=True,
            )
            self.fields[place.field].widget.attrs["data-afresh"] = "true"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name in self.places:
            if name in self.changed_data and name not in self.errors and cleaned[name] is None:
                self.add_error(name, "Write what is left in the seam: 0 when nothing is.")
        return cleaned

    @property
    def counted(self) -> dict[Place, Length]:
        return {
            place: self.cleaned_data[name]
            for name, place in self.places.items()
            if name in self.changed_data
        }


class RemakeForm(EntryForm):
    """The whole garment, or one main piece, cut again at the house's cost."""

    what = forms.ChoiceField(label="What is cut again", widget=forms.RadioSelect)
    reason = forms.CharField(
        label="Why", max_length=300, help_text="The owner reads it in the review."
    )
    cut_version = CutField(
        label="Cut of the new garment",
        queryset=CutVersion.objects.none(),
        empty_label=None,
        required=False,
    )
    cutter = PersonField(
        label="Cutter of the new garment",
        queryset=User.objects.none(),
        required=False,
        empty_label="The same as before",
    )
    promised_on = forms.DateField(
        label="New garment promised for",
        required=False,
        widget=DayInput,
        error_messages={"invalid": DAY_SHAPE},
    )
    notes = forms.CharField(
        label="Notes for the new garment",
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 2}),
    )

    def __init__(self, *args: Any, garment: Garment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        pieces = [(piece, piece.capitalize()) for piece in PIECES[garment.kind]]
        whole = (WHOLE, f"The whole {garment.get_kind_display()}")
        self.fields["what"].choices = [whole, *pieces]  # type: ignore[attr-defined]
        self.fields["cut_version"].queryset = newest_versions(  # type: ignore[attr-defined]
            garment.kind
        )
        self.fields["cutter"].queryset = cutters()  # type: ignore[attr-defined]

    @property
    def piece(self) -> str:
        what: str = self.cleaned_data["what"]
        return "" if what == WHOLE else what

    @property
    def promised(self) -> datetime.date | None:
        promised: datetime.date | None = self.cleaned_data["promised_on"]
        return promised
