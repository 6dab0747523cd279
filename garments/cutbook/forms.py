"""What is typed about the house's cuts."""

from django import forms

from garments.models import Kind


class CutForm(forms.Form):
    """A new house cut and the note of its first version."""

    name = forms.CharField(label="Name of the cut", max_length=60)
    kind = forms.ChoiceField(
        label="It cuts",
        choices=[(value, label.capitalize()) for value, label in Kind.choices],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(
        label="What it is",
        required=False,
        max_length=300,
        help_text="Shoulder, drape, length, ease: what the cutter wants to know of it.",
    )


class CutVersionForm(forms.Form):
    """The next version of a cut: what is different about it."""

    version = forms.IntegerField(min_value=1, max_value=9999, widget=forms.HiddenInput)
    note = forms.CharField(label="What is changed", max_length=300)
