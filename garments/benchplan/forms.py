"""What is typed on a plan: what is cut already, the amount of each line."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from customers.form_fields import EntryForm, LengthFormField
from customers.lengths import Length
from garments import seams
from garments.benchplan.queries import key_of, line_of, meaning_of, name_of
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
        why: Mapping[str, str] | None = None,
    ) -> None:
        """``lines`` are those proposed and ``why`` the reasons, both by key."""
        first = {f"amount-{key}": line.amount for key, line in (lines or {}).items()}
        super().__init__(data, initial=first | {"lines": " ".join(lines or {})})
        self.why = why or {}
        named = data.get("lines", "")[:LONGEST].split() if data is not None else list(lines or {})
        read = {key: line_of(kind, key) for key in named}
        self.named = {key: line for key, line in read.items() if line}
        self.unknown = len(read) > len(self.named)
        for key, line in self.named.items():
            self.fields[f"amount-{key}"] = LengthFormField(
                label=name_of(kind, line), unit=unit, required=False
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
    def keys(self) -> list[str]:
        return list(self.named)

    @property
    def steps(self) -> list[Step]:
        """The lines with an amount, as far as they can be read."""
        amounts = (
            (line, self.cleaned_data.get(f"amount-{key}")) for key, line in self.named.items()
        )
        return [replace(line, amount=amount) for line, amount in amounts if amount]

    @property
    def rows(self) -> list[tuple[Any, str, str]]:
        """Field, how the amount is meant, and why, of each line."""
        return [
            (self[f"amount-{key}"], meaning_of(line), self.why.get(key, ""))
            for key, line in self.named.items()
        ]


def keyed(lines: Any) -> dict[str, Step]:
    return {key_of(line): line for line in lines}


def cloth_of(form: StopsForm) -> Length | None:
    found: Length | None = form.cleaned_data.get("cloth_left") if form.is_valid() else None
    return found
