"""The values of a row that is there: what the owner may change in it."""

from dataclasses import replace
from fractions import Fraction
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import slugify

from customers.form_fields import EntryForm, LengthFormField
from customers.lengths import Length
from fittings.catalogue import STAGES, Catalogue, Cause, Fault, Link, Remedy, Row
from fittings.catalogue.changes import OWN
from fittings.catalogue.checking import HOUSE_SAYS, LONGEST_LABEL
from fittings.housebook.forms.choices import CHOOSE, COMMON, FACTORS, STEPS, Choices, in_order
from fittings.housebook.words import STAGE_WORDS, WHERE_WORDS
from garments import seams


class WhyForm(EntryForm):
    """Why, and what the row said when the page was opened."""

    seen = forms.UUIDField(required=False, widget=forms.HiddenInput)
    why = forms.CharField(
        max_length=300,
        label="Why",
        help_text="Kept with your name and the day.",
        error_messages={"required": "Say why."},
    )


class RowForm(WhyForm):
    """A row's own values. ``named`` is the field a refused key belongs to."""

    named: str | None = None

    who = forms.CharField(
        max_length=80,
        label="Who says so",
        help_text="Stands as the source of the row: “house”, and the name.",
        error_messages={"required": "Every row has a source: name who says so."},
    )

    def __init__(
        self,
        *args: Any,
        book: Catalogue,
        kind: str,
        unit: str = "in",
        row: Row | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.book, self.kind, self.unit, self.row = book, kind, unit, row
        self.prepare()
        last = ("who", "why")
        self.order_fields([*(name for name in self.fields if name not in last), *last])

    def prepare(self) -> None:
        """Fill the choices of this kind of garment."""

    def clean_who(self) -> str:
        who: str = self.cleaned_data["who"]
        if ";" in who:
            raise ValidationError("Name them without a semicolon.")
        return who

    def changed_row(self) -> Row:
        """The row with these values. Each table's form says how."""
        raise NotImplementedError

    def new_rows(self) -> list[Row]:
        """The new row, with what must come with it."""
        raise NotImplementedError

    @property
    def source(self) -> str:
        return f"{HOUSE_SAYS}{self.cleaned_data['who']}"

    def is_itself(self, other: Fault | Cause, name: str) -> bool:
        """Whether it is this row, or what this very form may have made when it was sent before."""
        own = self.row.key if isinstance(self.row, Fault | Cause) else f"{OWN}{slugify(name)}"
        return other.key == own

    def choose(self, name: str, choices: Choices) -> None:
        cast("forms.ChoiceField", self.fields[name]).choices = choices

    def key_for(self, name: str) -> str:
        """The house's key from a name; an error beside the field when it holds no letters."""
        words = slugify(self.cleaned_data.get(name, ""))
        if not words and name not in self.errors:
            self.add_error(name, "Use letters: the row is kept by them.")
        return f"{OWN}{words}"


class FaultForm(RowForm):
    """A fault's words."""

    named = "label"

    label = forms.CharField(
        max_length=LONGEST_LABEL,
        label="Label",
        help_text=f"On its tile: at most {LONGEST_LABEL} letters.",
    )
    sign = forms.CharField(max_length=200, label="Sign", help_text="What is seen, in one sentence.")
    look = forms.CharField(max_length=200, label="How to look")
    measure = forms.CharField(
        max_length=80,
        required=False,
        label="What the amount says",
        help_text="Empty where no amount is taken.",
    )
    sided = forms.BooleanField(required=False, label="Left and right are told apart")
    stages = forms.MultipleChoiceField(
        label="Shows",
        choices=list(STAGE_WORDS.items()),
        widget=forms.CheckboxSelectMultiple,
        initial=list(STAGES),
        error_messages={"required": "Say when it shows."},
    )

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        label, zone = data.get("label", "").casefold(), self.zone()
        for other in self.book.faults:
            same = (other.kind, other.zone, other.label.casefold()) == (self.kind, zone, label)
            if same and not self.is_itself(other, label):
                self.add_error("label", "That zone has a fault of that label already.")
        return data

    def zone(self) -> str:
        return cast(Fault, self.row).zone

    def values(self) -> dict[str, Any]:
        data = self.cleaned_data
        said = {name: data[name] for name in ("label", "sign", "look", "measure", "sided")}
        return said | {"stages": in_order(data["stages"]), "source": self.source}

    def changed_row(self) -> Fault:
        return replace(cast(Fault, self.row), **self.values())


class CauseForm(RowForm):
    """A cause's words."""

    named = "name"

    name = forms.CharField(max_length=60, label="Cause")
    where = forms.ChoiceField(
        label="Where it lies", choices=[CHOOSE, *((key, WHERE_WORDS[key]) for key in WHERE_WORDS)]
    )
    words = forms.CharField(max_length=200, label="In words", help_text="One plain sentence.")
    how_common = forms.ChoiceField(
        label="How common it is",
        choices=COMMON,
        initial="uncommon",
        help_text="Of garments at their first fitting, before anything is seen.",
    )

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        for other in self.book.causes:
            if other.name.casefold() == name.casefold() and not self.is_itself(other, name):
                raise ValidationError("There is a cause of that name already.")
        return name

    def values(self) -> dict[str, Any]:
        names = ("name", "where", "words", "how_common")
        said = {name: self.cleaned_data[name] for name in names}
        return said | {"source": self.source, "how_common_source": self.source}

    def changed_row(self) -> Cause:
        return replace(cast(Cause, self.row), **self.values())


class ShownForm(RowForm):
    """How often a cause shows as a fault, and what tells it."""

    strength = forms.ChoiceField(
        label="How often it shows",
        choices=[CHOOSE, *STEPS],
        error_messages={"required": "Say how often."},
    )
    tells = forms.CharField(
        max_length=200,
        required=False,
        label="What tells it from the others",
        help_text="What one can see or try on the spot.",
    )

    def link(self, cause: str, fault: str, side: str = "", note: str = "") -> Link:
        data = self.cleaned_data
        return Link(
            cause=cause,
            fault=fault,
            strength=data["strength"],
            tells=data["tells"],
            source=self.source,
            side=side,
            note=note,
        )


class LinkForm(ShownForm):
    """A link's strength and words."""

    note = forms.CharField(max_length=300, required=False, label="Note")

    def changed_row(self) -> Link:
        row = cast(Link, self.row)
        return self.link(row.cause, row.fault, row.side, self.cleaned_data["note"])


class AmountForm(RowForm):
    """How much of what was measured the sewn line is moved."""

    factor = forms.ChoiceField(
        label="How much the sewn line moves",
        required=False,
        choices=FACTORS,
        help_text="On each side named: half where both sides move and the measure was in all.",
    )
    least = LengthFormField(required=False, label="At least")
    most = LengthFormField(required=False, label="At most")

    def prepare(self) -> None:
        for name, label in (("least", "At least"), ("most", "At most")):
            self.fields[name] = LengthFormField(unit=self.unit, required=False, label=label)
        factor = getattr(self.row, "factor", None)
        if factor and str(factor) not in dict(FACTORS):
            self.choose("factor", [*FACTORS, (str(factor), f"{factor} of what was measured")])

    def work(self) -> tuple[str, str]:
        row = cast(Remedy, self.row)
        return row.operation, row.seam

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        operation, _ = self.work()
        if operation and "factor" not in self.errors:
            self._refuse_amounts(seams.operation(operation), data)
        return data

    def _refuse_amounts(self, operation: seams.Operation, data: dict[str, Any]) -> None:
        if operation.takes_amount != bool(data.get("factor")):
            said = f"“{operation.name}” takes no amount."
            self.add_error("factor", "Say how much." if operation.takes_amount else said)
        for name in ("least", "most"):
            value = data.get(name)
            if value is not None and not Length(0) < value <= seams.MOST:
                self.add_error(name, f"More than nothing, and at most {seams.MOST} in.")
        least = data.get("least") or seams.EIGHTH
        if (most := data.get("most")) is not None and most < least:
            self.add_error("most", "That is less than the least.")

    def amounts(self) -> dict[str, Any]:
        data = self.cleaned_data
        if not data["factor"]:
            return {"factor": None, "least": seams.EIGHTH, "most": None}
        factor, least = Fraction(data["factor"]), data["least"] or seams.EIGHTH
        return {"factor": factor, "least": least, "most": data["most"]}


class RemedyForm(AmountForm):
    """How an alteration is done: amount rule, stages, place among the others."""

    stages = forms.MultipleChoiceField(
        label="Done",
        choices=list(STAGE_WORDS.items()),
        widget=forms.CheckboxSelectMultiple,
        initial=list(STAGES),
        error_messages={"required": "Say when it is done."},
    )
    note = forms.CharField(max_length=300, required=False, label="Note")
    first = forms.BooleanField(required=False, label="Offer it before the others of its cause")

    def values(self) -> dict[str, Any]:
        data = self.cleaned_data
        stages = in_order(data["stages"])
        return self.amounts() | {"stages": stages, "note": data["note"], "source": self.source}

    def changed_row(self) -> Remedy:
        return replace(cast(Remedy, self.row), **self.values())


def initial_of(row: Row, *, first: bool = False) -> dict[str, Any]:
    """A row's values for its form; who says so is asked anew unless the house said it."""
    names = ("label", "sign", "look", "measure", "sided", "stages", "name", "where", "words")
    more = ("how_common", "strength", "tells", "note", "least", "most")
    values = {name: getattr(row, name) for name in (*names, *more) if hasattr(row, name)}
    if isinstance(row, Remedy):
        values |= {"factor": str(row.factor or ""), "first": first}
    if row.source.startswith(HOUSE_SAYS):
        values["who"] = row.source.removeprefix(HOUSE_SAYS)
    return values
