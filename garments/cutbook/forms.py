"""What is typed about the house's cuts."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.forms import BoundField

from customers.form_fields import LengthFormField
from customers.points import NO_SOURCE
from garments.cutting import FIGURES, POINTS, RULES, Figure, FinishedPoint, exact, house_cuts
from garments.models import Kind

FIGURE_NAMES = {
    "ease": "ease",
    "least": "least ease",
    "most": "most ease",
    "tolerance": "give or take",
    "value": "figure",
    "source": "where from",
}
# The cuts that come with the program are called by what they are.
STARTS = [("", "None yet")] + [
    (name, f"Of a {name.replace('-', ' ')} cut") for name in house_cuts()
]


class CutForm(forms.Form):
    """A new house cut, the note of its first version, and the figures that one starts from."""

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
    start = forms.ChoiceField(
        label="Figures to start from",
        choices=STARTS,
        required=False,
        help_text="Ease, rules and tolerances. The next version changes them.",
    )


class CutVersionForm(forms.Form):
    """The next version of a cut: what is different about it, and all its figures.

    A point is aimed at once its row is filled in; a row left empty is not aimed at.
    """

    version = forms.IntegerField(min_value=1, max_value=9999, widget=forms.HiddenInput)
    note = forms.CharField(label="What is changed", max_length=300)

    def __init__(
        self, *args: Any, kind: str, unit: str, figures: Mapping[str, Any], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind, self.unit = kind, unit
        for point in POINTS[kind]:
            self._add_row(point, FIGURES, figures.get("points", {}).get(point.key, {}))
        for figure in RULES[kind]:
            self._add_row(figure, ("value",), figures.get("rules", {}).get(figure.key, {}))

    def _add_row(
        self, of: FinishedPoint | Figure, names: tuple[str, ...], kept: Mapping[str, str]
    ) -> None:
        for name in names:
            self.fields[f"{of.key}-{name}"] = LengthFormField(
                label=f"{of.name}, {FIGURE_NAMES[name]}",
                unit=self.unit,
                signed=True,
                required=False,
                initial=kept.get(name, ""),
            )
        self.fields[f"{of.key}-source"] = forms.CharField(
            label=f"{of.name}, {FIGURE_NAMES['source']}",
            required=False,
            max_length=120,
            initial=kept.get("source", NO_SOURCE),
        )

    @property
    def point_rows(self) -> list[tuple[FinishedPoint, list[BoundField], BoundField]]:
        return [
            (point, [self[f"{point.key}-{name}"] for name in FIGURES], self[f"{point.key}-source"])
            for point in POINTS[self.kind]
        ]

    @property
    def rule_rows(self) -> list[tuple[Figure, list[BoundField], BoundField]]:
        return [
            (figure, [self[f"{figure.key}-value"]], self[f"{figure.key}-source"])
            for figure in RULES[self.kind]
        ]

    @property
    def figures(self) -> dict[str, Any]:
        """The rows that are filled in, as the service takes them."""
        points = {point.key: self._row(point.key, FIGURES) for point in POINTS[self.kind]}
        rules = {figure.key: self._row(figure.key, ("value",)) for figure in RULES[self.kind]}
        return {
            "points": {key: row for key, row in points.items() if row},
            "rules": {key: row for key, row in rules.items() if row},
        }

    def _row(self, key: str, names: tuple[str, ...]) -> dict[str, str]:
        typed = {name: self.cleaned_data[f"{key}-{name}"] for name in names}
        if all(length is None for length in typed.values()):
            return {}
        row = {name: exact(length) for name, length in typed.items() if length is not None}
        return row | {"source": self.cleaned_data[f"{key}-source"]}
