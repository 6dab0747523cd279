"""What is typed of a customer's wishes, and of the garment measured."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from customers.form_fields import EntryForm, LengthFormField
from customers.lengths import Length
from garments import cutting
from garments.aiming.queries import Aims
from garments.forms import PersonField
from garments.models import FinishedMeasure
from garments.queries import cutters

LESS, MORE = "less", "more"


class WishForm(EntryForm):
    """What the customer wishes otherwise: in the house's words, and by how much."""

    wish = forms.ChoiceField(label="The customer wishes")
    amount = LengthFormField(label="By how much")
    accepted_by = PersonField(
        label="Accepted by",
        queryset=User.objects.none(),
        required=False,
        empty_label="Nobody yet",
        help_text="Only a wish against the house's standard needs a name.",
    )
    note = forms.CharField(label="Why", required=False, max_length=300)

    def __init__(self, *args: Any, kind: str, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["wish"].choices = [  # type: ignore[attr-defined]
            ("", "Choose what"),
            *(
                (f"{point.key}:{way}", words.capitalize())
                for point in cutting.POINTS[kind]
                for way, words in ((LESS, point.less), (MORE, point.more))
            ),
        ]
        self.fields["amount"] = LengthFormField(label="By how much", unit=unit)
        self.fields["accepted_by"].queryset = cutters()  # type: ignore[attr-defined]
        self.order_fields(["wish", "amount", "accepted_by", "note"])

    def clean_amount(self) -> Length:
        amount: Length = self.cleaned_data["amount"]
        if not amount:
            raise ValidationError("Write by how much: more than nothing.")
        return amount

    @property
    def wished(self) -> dict[str, Any]:
        """What the service writes."""
        point, _, way = self.cleaned_data["wish"].partition(":")
        amount = self.cleaned_data["amount"]
        return {
            "entry_id": self.cleaned_data["entry_id"],
            "point": point,
            "amount": -amount if way == LESS else amount,
            "accepted_by": self.cleaned_data["accepted_by"],
            "note": self.cleaned_data["note"],
        }


class FinishedForm(EntryForm):
    """Every point of a garment; only what was written is entered."""

    where = forms.ChoiceField(
        label="Measured",
        choices=[(value, label.capitalize()) for value, label in FinishedMeasure.Where.choices],
        widget=forms.RadioSelect,
        initial=FinishedMeasure.Where.BOARD,
    )

    def __init__(self, *args: Any, kind: str, unit: str, aims: Aims, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.known = {line.field: line for line in aims.lines}
        self.places: dict[str, tuple[cutting.FinishedPoint, str]] = {}
        for point in cutting.POINTS[kind]:
            for side in point.sides:
                name = f"{point.key}-{side}".rstrip("-")
                self.places[name] = (point, side)
                self.fields[name] = LengthFormField(
                    label=point.called(side), unit=unit, required=False
                )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.values:
            raise ValidationError("Write at least one measure.")
        return cleaned

    @property
    def values(self) -> dict[tuple[str, str], Length]:
        return {
            (point.key, side): self.cleaned_data[name]
            for name, (point, side) in self.places.items()
            if self.cleaned_data.get(name) is not None
        }

    @property
    def rows(self) -> list[tuple[cutting.FinishedPoint, list[tuple[Any, Any]]]]:
        """The points in the order of taking, each with its fields and what it is aimed at."""
        by_point: dict[cutting.FinishedPoint, list[tuple[Any, Any]]] = {}
        for name, (point, _) in self.places.items():
            by_point.setdefault(point, []).append((self[name], self.known.get(name)))
        return list(by_point.items())
