"""What the owner asks of the figures, and which of them a change is about."""

from django import forms

from customers.form_fields import EntryForm
from fittings.learning import Row
from fittings.lessons.tables import APART, CASES, LINKS, NAME, PRIORS, REMEDIES

USUAL = {"what": REMEDIES, "least": "5", "sort": APART}
UNKNOWN = {"invalid_choice": "There is no “%(value)s” here: choose one of the list."}


class ShowForm(forms.Form):
    """Which figures, from how many cases, in which order. It stands in the address."""

    what = forms.ChoiceField(
        label="Show",
        choices=[
            (REMEDIES, "How remedies fared"),
            (LINKS, "How causes show"),
            (PRIORS, "How often causes occur"),
        ],
        error_messages=UNKNOWN,
    )
    least = forms.ChoiceField(
        label="With at least",
        choices=[("1", "1 case"), ("5", "5 cases"), ("20", "20 cases")],
        error_messages=UNKNOWN,
    )
    sort = forms.ChoiceField(
        label="First",
        choices=[
            (APART, "the furthest from the catalogue"),
            (CASES, "the most cases"),
            (NAME, "by name"),
        ],
        error_messages=UNKNOWN,
    )


class RowForm(forms.Form):
    """The keys of one figure, as an address or a hidden part of a form."""

    cause = forms.CharField(max_length=40, widget=forms.HiddenInput)
    fault = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)
    operation = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)
    kind = forms.CharField(max_length=10, required=False, widget=forms.HiddenInput)

    @property
    def row(self) -> Row:
        """The figure of a valid form."""
        data = self.cleaned_data
        return Row(data["cause"], data["fault"], data["operation"], data["kind"])


class OmitForm(EntryForm, RowForm):
    """Learn nothing from a case or for a figure, with a word why."""

    note = forms.CharField(
        label="Why", max_length=300, required=False, widget=forms.TextInput({"autocomplete": "off"})
    )


class TakeInForm(EntryForm, RowForm):
    """Learn from it again."""
