"""What is typed on a plan: what is cut already, the amount of each line."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from customers.form_fields import EntryForm, LengthFormField
from customers.lengths import Length
from garments import seams
from garments.benchplan.queries import key_of, step_of
from garments.planning import Step

STOPS = ("cut-pocket", "cut-buttonholes", "cut-cuff-holes", "checks")
LABELS = {
    "cut-pocket": "The pockets are cut",
    "cut-buttonholes": "The front buttonholes are cut",
    "cut-cuff-holes": "The cuff holes are cut",
    "checks": "Checks or stripes must meet",
}
LONGEST = 2000  # characters of keys; a plan has a dozen lines


class StopsForm(forms.Form):
    """What a seam may not do on this garment, and the cloth there is for a new piece."""

    asked = forms.BooleanField(required=False, initial=True, widget=forms.HiddenInput)
    stopped = forms.MultipleChoiceField(
        label="What stops a seam",
        choices=[(key, LABELS[key]) for key in STOPS],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Untick the checks where the customer accepts it in writing.",
    )

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cloth_left"] = LengthFormField(
            label="Cloth left, double width", unit=unit, required=False
        )


class LinesForm(EntryForm):
    """The lines of a plan with their amounts; a line without an amount is left out."""

    lines = forms.CharField(max_length=LONGEST, widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        kind: str,
        unit: str,
        lines: Mapping[str, Step] | None = None,
    ) -> None:
        first = {f"amount-{key}": line.amount for key, line in (lines or {}).items()}
        super().__init__(data, initial=first | {"lines": " ".join(lines or {})})
        self.kind = kind
        named = data.get("lines", "")[:LONGEST].split() if data is not None else list(lines or {})
        self.keys = [key for key in dict.fromkeys(named) if step_of(kind, key, None)]
        self.unknown = set(named) - set(self.keys)
        for key in self.keys:
            self.fields[f"amount-{key}"] = LengthFormField(
                label=line_name(kind, key), unit=unit, required=False
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.unknown:
            raise ValidationError("A line is none of this garment: plan it again.")
        for key in self.keys:
            amount = cleaned.get(f"amount-{key}")
            if amount and amount > seams.MOST:
                self.add_error(f"amount-{key}", f"At most {seams.MOST} in: look at it again.")
        return cleaned

    @property
    def steps(self) -> list[Step]:
        """The lines with an amount, as far as they can be read."""
        amounts = {key: self.cleaned_data.get(f"amount-{key}") for key in self.keys}
        lines = [step_of(self.kind, key, amount) for key, amount in amounts.items() if amount]
        return [line for line in lines if line]

    @property
    def rows(self) -> list[tuple[str, Any, str]]:
        """Key, field and how the amount is meant, of each line."""
        return [(key, self[f"amount-{key}"], amount_words(key)) for key in self.keys]


def line_name(kind: str, key: str) -> str:
    operation, seam, side = (*key.split("."), "", "")[:3]
    where = seams.seam(kind, seam).name.lower()
    sides = f", {seams.SIDE_NAMES[side]}" if side else ""
    return f"{seams.operation(operation).name}, {where}{sides}"


def amount_words(key: str) -> str:
    operation, seam, side = (*key.split("."), "", "")[:3]
    return seams.operation(operation).amount_words(side, seam)


def keyed(lines: Any) -> dict[str, Step]:
    return {key_of(line): line for line in lines}


def cloth_of(form: StopsForm) -> Length | None:
    found: Length | None = form.cleaned_data.get("cloth_left") if form.is_valid() else None
    return found
