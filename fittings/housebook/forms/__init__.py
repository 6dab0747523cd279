"""What the owner says of a row. What a catalogue may hold is the checker's to say."""

from typing import Any, Final

from django import forms

from fittings.catalogue import Catalogue
from fittings.housebook.forms.adding import NewCauseForm, NewFaultForm, NewLinkForm, NewRemedyForm
from fittings.housebook.forms.changing import (
    CauseForm,
    FaultForm,
    LinkForm,
    RemedyForm,
    WhyForm,
    initial_of,
)

CHANGE_FORMS: Final = {
    "fault": FaultForm,
    "cause": CauseForm,
    "link": LinkForm,
    "remedy": RemedyForm,
}
NEW_FORMS: Final = {
    "fault": NewFaultForm,
    "cause": NewCauseForm,
    "link": NewLinkForm,
    "remedy": NewRemedyForm,
}


class FindForm(forms.Form):
    """Which rows are shown."""

    kind = forms.ChoiceField(
        label="Garment",
        required=False,
        choices=[(kind, kind) for kind in ("coat", "waistcoat", "trousers")],
    )
    zone = forms.ChoiceField(label="Zone", required=False)
    only = forms.ChoiceField(
        label="Rows",
        required=False,
        choices=[("", "all"), ("house", "the house's own and changed"), ("retired", "retired")],
    )
    q = forms.CharField(max_length=60, required=False, label="Words")

    def __init__(self, data: Any, *, book: Catalogue) -> None:
        super().__init__(data)
        kind = data.get("kind", "coat")
        zones = [(row.key, row.name) for row in book.zones if row.kind == kind]
        self.fields["zone"].choices = [("", "all"), *zones]  # type: ignore[attr-defined]


__all__ = ["CHANGE_FORMS", "NEW_FORMS", "FindForm", "WhyForm", "initial_of"]
