"""What the fitter's taps and typing are read by. The rules themselves are the services'."""

from collections.abc import Mapping
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from customers.form_fields import EntryForm, LengthFormField
from customers.lengths import LengthError, parse
from customers.models import Customer
from customers.numbers import tidy
from fittings.housebook.queries import house_catalogue
from fittings.models import Booking, Decision, Judgement, Observation, Photograph
from garments import seams
from garments.models import Garment, Stage
from garments.models.garment import GarmentQuerySet

FIRST_WHAT = "Touch what you see first, then the amount."
TYPED = "typed"  # the amount is in the text field beside the keys
NONE = "none"  # a fault without an amount
# Named one by one: an iPad then turns what its camera keeps in another format into JPEG itself.
TAKEN = "image/jpeg,image/png,image/webp"
MOST_AT_ONCE = 12  # photographs of one form: each is made small before the first is kept
Purpose = Booking.Purpose
# What a walk-in is most likely for, by the stage of the newest garment; else the first look.
PURPOSE_AT: dict[str, Purpose] = {
    Stage.FIRST_FITTING: Purpose.FORWARD,
    Stage.ALTERING: Purpose.FORWARD,
    Stage.FORWARD_FITTING: Purpose.FORWARD,
    Stage.FINISHING: Purpose.FINAL,
    Stage.FINISHED: Purpose.FINAL,
    Stage.FINAL_LOOK: Purpose.FINAL,
    Stage.DELIVERED: Purpose.RETURN,
    Stage.RETURNED: Purpose.RETURN,
}


class ObservationForm(EntryForm):
    """One touch of a zone: clean, or a fault tile and an amount key.

    ``seen`` is ``fault:side`` in one value, so that fault and side are one tap. After ``is_valid``
    ``cleaned_data`` holds ``zone``, ``fault``, ``side`` and ``length`` ready for the service.
    """

    seen = forms.CharField(max_length=80, required=False)
    amount = forms.CharField(max_length=40, required=False)
    other = LengthFormField(required=False, label="Another amount")
    note = forms.CharField(max_length=300, required=False, label="Note")
    clean_zone = forms.CharField(max_length=30, required=False)

    def __init__(self, *args: Any, kind: str, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.unit = unit
        self.fields["other"] = LengthFormField(unit=unit, required=False, label="Another amount")

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        data |= {"zone": data.get("clean_zone", ""), "fault": "", "side": "", "length": None}
        if data["zone"]:
            return data
        data["fault"], _, data["side"] = data.get("seen", "").partition(":")
        row = house_catalogue().fault_by_key.get(data["fault"])
        if row:
            data["zone"] = row.zone
            self._read_amount(data)
        elif "seen" not in self.errors:
            known = "There is no such fault." if data["fault"] else FIRST_WHAT
            self.add_error("seen", known)
        return data

    @property
    def touched_zone(self) -> str:
        """The zone whose panel the touch came from, as far as it can be told."""
        fault = str(self["seen"].value() or "").partition(":")[0]
        row = house_catalogue().fault_by_key.get(fault)
        return row.zone if row else str(self["clean_zone"].value() or "")

    def _read_amount(self, data: dict[str, Any]) -> None:
        touched = data.get("amount", "")
        if touched == TYPED:
            data["length"] = data.get("other")
            if data["length"] is None and "other" not in self.errors:
                self.add_error("other", "Write the amount, or touch one above.")
        elif touched and touched != NONE:
            try:
                data["length"] = parse(touched, self.unit)
            except LengthError as error:
                self.add_error("other", str(error))


class AlterationForm(EntryForm):
    """Another alteration than the usual ones. Choices are those of this kind of garment."""

    SHOWN = ("operation", "seam", "side", "amount", "why")

    operation = forms.ChoiceField(
        label="What is done", error_messages={"required": "Say what is done."}
    )
    seam = forms.ChoiceField(label="Seam", error_messages={"required": "Say at which seam."})
    side = forms.ChoiceField(
        label="Side, as the wearer has it",
        choices=[("L", "left"), ("both", "both"), ("R", "right"), ("", "no side")],
        widget=forms.RadioSelect,
        initial="",
        required=False,
    )
    amount = LengthFormField(required=False, label="Amount")
    why = forms.CharField(max_length=300, required=False, label="Why")
    observation = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, kind: str, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        operations = cast("forms.ChoiceField", self.fields["operation"])
        operations.choices = [("", "Choose"), *((op.key, op.name) for op in seams.operations(kind))]
        places = cast("forms.ChoiceField", self.fields["seam"])
        places.choices = [("", "Choose"), *((at.key, at.name) for at in seams.seams(kind))]
        self.fields["amount"] = LengthFormField(
            unit=unit,
            required=False,
            label="Amount",
            help_text="How far the sewn line moves, on each side named.",
        )


class RestForm(EntryForm):
    """Every zone not spoken of yet, looked at and found clean."""


class RemedyForm(EntryForm):
    """One of the usual alterations of a fault, taken with one tap: which fault, which of them.

    Where no amount was measured the key carries one: ``remedy`` is then ``name@amount``.
    """

    observation = forms.UUIDField()
    remedy = forms.CharField(max_length=140)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        data["remedy"], _, amount = data.get("remedy", "").partition("@")
        data["length"] = None
        if amount:
            try:
                data["length"] = parse(amount, self.unit)
            except LengthError as error:
                self.add_error("remedy", str(error))
        return data


class CauseForm(EntryForm):
    """What is held to be behind it: a cause by its key, or in one's own words."""

    cause = forms.CharField(max_length=40, required=False, label="Cause")
    words = forms.CharField(max_length=300, required=False, label="In your words")


class SpotAnswerForm(EntryForm):
    """What a test done on the spot answered: ``key:yes`` or ``key:no``, one tap."""

    answer = forms.RegexField(
        r"^[\w-]{1,60}:(yes|no)$", error_messages={"required": "Say yes or no."}
    )

    @property
    def said(self) -> tuple[str, bool]:
        test, _, word = self.cleaned_data["answer"].partition(":")
        return test, word == "yes"


class JudgementForm(EntryForm):
    alteration = forms.UUIDField()
    verdict = forms.ChoiceField(choices=Judgement.Verdict.choices)


class DecisionForm(EntryForm):
    step = forms.ChoiceField(
        choices=Decision.Step.choices,
        error_messages={"required": "Say what is next.", "invalid_choice": "Say what is next."},
    )
    note = forms.CharField(max_length=300, required=False, label="Note")


class SeveralFilesInput(forms.FileInput):
    allow_multiple_selected = True


class SeveralFilesField(forms.FileField):
    """Any number of files of one control; cleans to their list."""

    widget = SeveralFilesInput

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        files = data or []
        return [super(SeveralFilesField, self).clean(file, initial) for file in files]


class PhotographForm(EntryForm):
    """Photographs from the tablet's camera, or chosen of those it has; ``uploads`` once valid."""

    photograph = forms.FileField(
        label="Take a photograph",
        required=False,
        widget=forms.FileInput(attrs={"accept": TAKEN, "capture": "environment"}),
    )
    chosen = SeveralFilesField(
        label="Or choose some",
        required=False,
        widget=SeveralFilesInput(attrs={"accept": TAKEN}),
    )
    view = forms.ChoiceField(
        label="Seen from",
        choices=Photograph.View.choices,
        required=False,
        widget=forms.RadioSelect,
        initial=Photograph.View.DETAIL,
    )
    caption = forms.CharField(max_length=120, required=False, label="What it shows")

    @property
    def sources(self) -> list[forms.BoundField]:
        """Where photographs come from: one of them is enough."""
        return [self["photograph"], self["chosen"]]

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        taken = data.get("photograph")
        data["uploads"] = [*([taken] if taken else []), *data.get("chosen", [])]
        if not data["uploads"] and not self.errors:
            self.add_error("photograph", "Take or choose a photograph first.")
        if len(data["uploads"]) > MOST_AT_ONCE:
            self.add_error("chosen", f"Choose {MOST_AT_ONCE} at most at once.")
        return data


class DeletePhotographsForm(EntryForm):
    """Which photographs of a customer are to go for good, and why."""

    photographs = forms.ModelMultipleChoiceField(
        queryset=Photograph.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose the photographs that are to go.",
            "invalid_choice": "One of these is not this customer's: choose again.",
            "invalid_pk_value": "One of these is not this customer's: choose again.",
        },
    )
    reason = forms.CharField(
        max_length=200,
        label="Why",
        initial="The customer asked for it",
        error_messages={"required": "Say why."},
    )
    sure = forms.BooleanField(
        label="Delete them for good",
        error_messages={"required": "Say that you mean it: nothing brings them back."},
    )

    def __init__(self, *args: Any, taken: QuerySet[Photograph], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Deleted ones too: the same form sent twice asks for what is gone.
        self.fields["photographs"].queryset = taken  # type: ignore[attr-defined]


class PinForm(EntryForm):
    """What is seen where the finger touched the picture, in points of the picture as shown."""

    observation = forms.ModelChoiceField(
        label="What shows there",
        queryset=Observation.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={
            "required": "Choose first what shows there, then touch the picture.",
            "invalid_choice": "That is not standing any more: choose again.",
        },
    )

    def __init__(
        self,
        data: Any = None,
        *,
        seen: QuerySet[Observation],
        labels: Mapping[Any, str],
        first: Any = None,
    ) -> None:
        super().__init__(data, initial={"observation": first})
        what = self.fields["observation"]
        if isinstance(what, forms.ModelChoiceField):
            what.queryset = seen
            what.choices = list(labels.items())
        # The browser itself sends where a picture that is a button was touched.
        for name in ("spot.x", "spot.y"):
            self.fields[name] = forms.IntegerField(
                required=False, widget=forms.HiddenInput, min_value=0
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("spot.x") is None or cleaned.get("spot.y") is None:
            self.add_error(None, "Touch the picture where it shows.")
        return cleaned


class CustomerForm(forms.Form):
    """A walk-in's number, as spoken; the check character catches a slip."""

    customer = forms.CharField(
        max_length=20,
        label="Customer number",
        help_text="As on the ticket or the customer's page, for example C1042-X.",
        error_messages={"required": "Write the customer's number."},
        widget=forms.TextInput({"autocomplete": "off", "spellcheck": "false", "class": "short"}),
    )

    def clean_customer(self) -> Customer:
        try:
            number = tidy(self.cleaned_data["customer"])
        except ValueError as error:
            raise ValidationError(str(error)) from error
        customer = Customer.objects.filter(number=number).first()
        if customer is None:
            raise ValidationError(f"There is no customer {number}.")
        return customer


def _as_tile(garment: Any) -> str:
    return f"{garment.get_kind_display().capitalize()} {garment.number}, {garment.cloth}"


class StartForm(EntryForm):
    """A customer who came without a booking: which garments are tried on, and what for."""

    garments = forms.ModelMultipleChoiceField(
        queryset=Garment.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        to_field_name="number",
        label="Garments tried on",
        error_messages={
            "required": "Choose at least one garment.",
            "invalid_choice": "%(value)s is not a garment of this customer.",
        },
    )
    purpose = forms.ChoiceField(
        label="What for",
        choices=[row for row in Purpose.choices if row[0] != Purpose.MEASURE],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, garments: GarmentQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        newest = garments.first()
        self.initial["purpose"] = PURPOSE_AT.get(newest.stage if newest else "", Purpose.FIRST)
        offered = cast("forms.ModelMultipleChoiceField[Garment]", self.fields["garments"])
        offered.queryset = garments
        offered.label_from_instance = _as_tile  # type: ignore[assignment]
