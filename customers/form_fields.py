"""Form fields every room uses: exact lengths as typed, and the client-made id of an entry."""

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from customers.lengths import Length, LengthError, parse


class LengthInput(forms.TextInput):
    """A text input with the device's own decimal keyboard; the on-screen pad finds it by data."""

    def __init__(self, unit: str = "in") -> None:
        super().__init__(
            {
                "autocomplete": "off",
                "spellcheck": "false",
                "maxlength": "20",
                "size": "8",
                "class": "length-input",
                "data-length-unit": unit,
            }
        )


class LengthFormField(forms.CharField):
    """A length typed in the trade's way, in ``unit`` unless it names its own; cleans to Length.

    An empty, not required field cleans to None. What was typed comes back untouched on error.
    """

    def __init__(self, *, unit: str = "in", signed: bool = False, **kwargs: Any) -> None:
        self.unit = unit
        self.signed = signed
        kwargs.setdefault("widget", LengthInput(unit))
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        signed = {"data-signed": "true"} if self.signed else {}
        return super().widget_attrs(widget) | signed

    def clean(self, value: Any) -> Length | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse(text, self.unit, signed=self.signed)
        except LengthError as error:
            raise ValidationError(str(error), code="length") from error

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Length):
            return value.text(self.unit)
        return value


class EntryForm(forms.Form):
    """A form that adds one ledger entry: its id is made when the form is drawn.

    Sent twice, it names the same entry, and the service keeps it once.
    """

    entry_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    def clean_entry_id(self) -> uuid.UUID:
        return self.cleaned_data["entry_id"] or uuid.uuid4()
