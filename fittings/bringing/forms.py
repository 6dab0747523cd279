"""What is typed about a list: the file, what its columns mean, what becomes of its rows."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from django import forms
from django.utils import timezone

from customers.form_fields import EntryForm
from customers.models import House
from fittings.bringing.services import NEW, OUT, choices_of
from fittings.lists import DAY_FIRST, MEANINGS, MONTH_FIRST, Column, Table, orders_that_fit
from fittings.lists.files import MOST_BYTES
from fittings.models import UploadRow
from garments.forms import DayInput, PersonField
from garments.queries import cutters

SAMPLES: Final = 3  # values of a column shown beside its heading
UNITS: Final = (("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres"))
ORDERS: Final = ((DAY_FIRST, "day first: 31/12/2024"), (MONTH_FIRST, "month first: 12/31/2024"))


class UploadForm(EntryForm):
    file = forms.FileField(
        label="The list",
        help_text=f"A CSV file with headings in its first row, {MOST_BYTES // 1024**2} MB at most.",
        widget=forms.FileInput({"accept": ".csv,.txt,.tsv,text/csv,text/plain"}),
        error_messages={
            "required": "Choose the file.",
            "empty": "The file is empty.",
            "missing": "Choose the file.",
        },
    )

    def clean_file(self) -> Any:
        """Too large is said before a byte of it is read."""
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(
                f"The file is larger than {MOST_BYTES // 1024**2} MB: cut it into parts."
            )
        return file


class ColumnsForm(forms.Form):
    """What each column of the file means, and what the file leaves open."""

    unit = forms.ChoiceField(
        label="Measures that say no unit are in", choices=UNITS, widget=forms.RadioSelect
    )
    taken_on = forms.DateField(
        label="Measures without a day were taken on", required=False, widget=DayInput()
    )
    cutter = PersonField(
        label="Cutter of orders that name none", queryset=cutters(), required=False
    )
    day_order = forms.ChoiceField(
        label="In days such as 3/4/2024",
        choices=ORDERS,
        widget=forms.RadioSelect,
        error_messages={"required": "Say which comes first: the list alone does not."},
    )

    def __init__(self, *args: Any, table: Table, columns: Sequence[Column], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.columns = columns
        self.table = table
        self.initial.setdefault("unit", House.get().unit)
        orders = orders_that_fit(cell for _, cells in table.rows for cell in cells)
        if not orders:
            del self.fields["day_order"]
        elif len(orders) == 1:
            self.initial.setdefault("day_order", orders[0])
        for at, column in enumerate(columns):
            self._add(at, column)

    def _add(self, at: int, column: Column) -> None:
        wrong = {"invalid_choice": "That is no column of ours."}
        self.fields[f"means-{at}"] = forms.ChoiceField(
            label=column.heading or f"column {at + 1}",
            choices=MEANING_CHOICES,
            initial=column.means,
            required=False,
            error_messages=wrong,
        )
        self.fields[f"unit-{at}"] = forms.ChoiceField(
            label=f"Unit of {column.heading or f'column {at + 1}'}",
            choices=[("", "as below"), *UNITS],
            initial=column.unit,
            required=False,
            error_messages=wrong,
        )

    def lines(self) -> list[dict[str, Any]]:
        """For the page: each column with a few of its values and its two fields."""
        return [
            {
                "heading": column.heading or f"(column {at + 1})",
                "samples": self._samples(at),
                "means": self[f"means-{at}"],
                "unit": self[f"unit-{at}"],
            }
            for at, column in enumerate(self.columns)
        ]

    def open_questions(self) -> list[Any]:
        names = ("unit", "day_order", "taken_on", "cutter")
        return [self[name] for name in names if name in self.fields]

    def _samples(self, at: int) -> str:
        values = (cells[at] for _, cells in self.table.rows if len(cells) > at and cells[at])
        shown: list[str] = []
        for value in values:
            if value not in shown:
                shown.append(value if len(value) <= 30 else f"{value[:30]}…")  # noqa: PLR2004
            if len(shown) == SAMPLES:
                break
        return " · ".join(shown)

    def clean_taken_on(self) -> Any:
        day = self.cleaned_data["taken_on"]
        if day and day > timezone.localdate():
            raise forms.ValidationError("That day has not come yet.")
        return day

    def clean(self) -> dict[str, Any]:
        """One column for each meaning, and a name among them."""
        cleaned = super().clean() or self.cleaned_data
        taken: dict[str, int] = {}
        for at in range(len(self.columns)):
            means = cleaned.get(f"means-{at}", "")
            if means and means in taken:
                other = self.columns[taken[means]].heading
                self.add_error(f"means-{at}", f"“{other}” is that already: choose one of them.")
            elif means:
                taken[means] = at
        if not {"family_name", "name", "number"} & set(taken):
            self.add_error(None, "One column must be the family name, the name or our number.")
        return cleaned

    def mapped(self) -> list[Column]:
        data = self.cleaned_data
        return [
            Column(column.heading, data[f"means-{at}"], data[f"unit-{at}"])
            for at, column in enumerate(self.columns)
        ]

    def answers(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "unit": data["unit"],
            "day_order": data.get("day_order", ""),
            "taken_on": data["taken_on"].isoformat() if data["taken_on"] else None,
            "cutter": data["cutter"].pk if data["cutter"] else None,
        }


class RowsForm(forms.Form):
    """What becomes of the rows of one page of the preview."""

    def __init__(self, *args: Any, rows: Iterable[UploadRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in rows:
            self.fields[f"row-{row.row}"] = forms.ChoiceField(
                label=f"Row {row.row}",
                choices=[(choice, _choice_text(row, choice)) for choice in choices_of(row)],
                initial=row.choice,
                required=False,
                error_messages={"invalid_choice": "That is not to be chosen for this row."},
            )

    def choices(self) -> dict[int, str]:
        """By row; a field that was not sent says nothing of its row."""
        return {
            int(name.removeprefix("row-")): choice
            for name, choice in self.cleaned_data.items()
            if name in self.data
        }


class WriteForm(forms.Form):
    """Bring in what was looked at, as it was then."""

    seen = forms.IntegerField(min_value=1, max_value=2**31, widget=forms.HiddenInput)


def _choice_text(row: UploadRow, choice: str) -> str:
    if choice == OUT:
        return "leave out"
    if choice == NEW:
        return "another person: new customer"
    if choice:
        known = row.proposals[int(choice.removeprefix("same:"))]["known"]
        who = known["number"] or f"row {known['row']}"
        return f"the same as {known['shown']} ({who})"
    if row.outcome == UploadRow.Outcome.ASKS:
        return "choose"
    return "waits" if row.outcome == UploadRow.Outcome.WRONG else "bring in"


def _meaning_choices() -> list[Any]:
    groups: dict[str, list[tuple[str, str]]] = {}
    for meaning in MEANINGS.values():
        groups.setdefault(meaning.group, []).append((meaning.key, meaning.name))
    return [("", "leave this column out"), *groups.items()]


MEANING_CHOICES: Final = _meaning_choices()
