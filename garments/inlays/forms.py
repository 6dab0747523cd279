"""What is typed when an inlay cannot be used."""

from typing import Any

from django import forms

from customers.form_fields import EntryForm, LengthFormField
from garments.inlays.services import SPOILT
from garments.models import Garment
from garments.queries import Inlay


class SpoiltForm(EntryForm):
    """Where, why, and how much of it; all of it when nothing is written."""

    place = forms.ChoiceField(
        label="Seam", error_messages={"required": "Choose the seam, and which side of it."}
    )
    reason = forms.ChoiceField(
        label="What happened to it",
        choices=[(reason.value, reason.label.capitalize()) for reason in SPOILT],
        widget=forms.RadioSelect,
        error_messages={"required": "Say what happened to it."},
    )

    def __init__(
        self, data: Any = None, *, garment: Garment, places: list[Inlay], unit: str
    ) -> None:
        super().__init__(data)
        self.garment = garment
        told = [(place.field, f"{place.name}: {place.now_text} in it") for place in places]
        where = self.fields["place"]
        if isinstance(where, forms.ChoiceField):
            where.choices = [("", "Choose"), *told]
        self.fields["amount"] = LengthFormField(
            label="How much of it", unit=unit, required=False, help_text="Empty for all of it."
        )
        self._places = {place.field: (place.seam.key, place.side) for place in places}

    def values(self) -> dict[str, Any]:
        """What ``spoil_inlay`` is told."""
        seam, side = self._places[self.cleaned_data["place"]]
        kept = {name: self.cleaned_data[name] for name in ("entry_id", "reason", "amount")}
        return {"garment": self.garment, "seam": seam, "side": side, **kept}
