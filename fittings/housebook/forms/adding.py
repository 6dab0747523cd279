"""A new row, with what must come with it; and which rows are shown."""

from typing import Any, cast

from django import forms

from fittings.catalogue import Cause, Fault, Remedy, Row
from fittings.housebook.forms.changing import (
    AmountForm,
    CauseForm,
    FaultForm,
    LinkForm,
    RemedyForm,
    ShownForm,
)
from fittings.housebook.forms.choices import (
    CHOOSE,
    SIDES,
    WORK_SIDES,
    causes_of,
    faults_of,
    shown_by,
    work_of,
)
from garments import seams


class NewFaultForm(ShownForm, FaultForm):
    """A fault with its first cause: a fault that nothing explains is refused."""

    zone_key = forms.ChoiceField(label="Zone", error_messages={"required": "Say in which zone."})
    cause = forms.ChoiceField(
        label="Its likeliest cause", error_messages={"required": "Name one cause; more can follow."}
    )
    field_order = (
        *("zone_key", "label", "sign", "look", "measure", "sided", "stages"),
        *("cause", "strength", "tells"),
    )

    def prepare(self) -> None:
        zones = [(row.key, row.name) for row in self.book.zones_of(self.kind)]
        self.choose("zone_key", [CHOOSE, *zones])
        self.choose("cause", causes_of(self.book, self.kind))
        self.order_fields(self.field_order)

    def zone(self) -> str:
        return str(self.cleaned_data.get("zone_key", ""))

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        data["key"] = self.key_for("label")
        return data

    def new_rows(self) -> list[Row]:
        data = self.cleaned_data
        fault = Fault(key=data["key"], kind=self.kind, zone=self.zone(), **self.values())
        return [fault, self.link(data["cause"], fault.key)]


class NewLinkForm(LinkForm):
    cause = forms.ChoiceField(label="Cause", error_messages={"required": "Say which cause."})
    fault = forms.ChoiceField(label="Shows as", error_messages={"required": "Say which fault."})
    side = forms.ChoiceField(label="Seen on", choices=SIDES, required=False)
    field_order = ("cause", "fault", "side", "strength", "tells", "note")

    def prepare(self) -> None:
        self.choose("cause", causes_of(self.book, self.kind))
        self.choose("fault", faults_of(self.book, self.kind))
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        fault = self.book.fault_by_key.get(data.get("fault", ""))
        if fault and data.get("side") and not fault.sided:
            self.add_error("side", "Left and right are not told apart in that fault.")
        return data

    def new_rows(self) -> list[Row]:
        data = self.cleaned_data
        return [self.link(data["cause"], data["fault"], data["side"], data["note"])]


class WorkForm(AmountForm):
    """What is done, and where: only what can be done at a seam of this kind of garment."""

    at = forms.ChoiceField(
        label="What is done, and where", error_messages={"required": "Say what is done."}
    )
    work_side = forms.ChoiceField(label="On which side", choices=WORK_SIDES, required=False)

    def prepare(self) -> None:
        super().prepare()
        self.choose("at", work_of(self.kind))

    def work(self) -> tuple[str, str]:
        operation, _, seam = str(self.cleaned_data.get("at", "")).partition(":")
        return operation, seam

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        operation, seam = self.work()
        sided = operation and seams.needs_side(self.kind, operation, seam)
        if operation and data.get("work_side") and not sided:
            self.add_error("work_side", "There is no left or right here.")
        return data

    def remedy(self, cause: str, **values: Any) -> Remedy:
        operation, seam = self.work()
        side = self.cleaned_data["work_side"]
        named = {"operation": operation, "seam": seam, "side": side, "source": self.source}
        return Remedy(**{"cause": cause, "kind": self.kind, **named, **self.amounts(), **values})


class NewRemedyForm(WorkForm, RemedyForm):
    cause = forms.ChoiceField(label="For the cause", error_messages={"required": "Say for which."})
    faults = forms.MultipleChoiceField(
        label="Only when seen as",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Its cause does not show as that: link them first."},
    )
    field_order = (
        *("cause", "at", "work_side", "factor", "least", "most"),
        *("faults", "stages", "note", "first"),
    )

    def prepare(self) -> None:
        super().prepare()
        self.choose("cause", causes_of(self.book, self.kind))
        if shown := shown_by(self.book, self.kind, self.get_cause()):
            self.choose("faults", shown)
        else:
            del self.fields["faults"]  # no cause is named yet
        self.order_fields(self.field_order)

    def get_cause(self) -> str:
        """The cause asked about: only its own faults can be told apart."""
        return str(self["cause"].value() or "")

    def new_rows(self) -> list[Row]:
        data = self.cleaned_data
        return [self.remedy(data["cause"], faults=tuple(data.get("faults", ())), **self.values())]


class NewCauseForm(ShownForm, WorkForm, CauseForm):
    """A cause with its first fault and first alteration: without them it is refused."""

    fault = forms.ChoiceField(
        label="The fault it shows as",
        error_messages={"required": "Name one fault; more can follow."},
    )
    field_order = (
        *("name", "where", "words", "how_common", "fault", "strength", "tells"),
        *("at", "work_side", "factor", "least", "most"),
    )

    def prepare(self) -> None:
        super().prepare()
        self.choose("fault", faults_of(self.book, self.kind))
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        data["key"] = self.key_for("name")
        return data

    def new_rows(self) -> list[Row]:
        data = self.cleaned_data
        cause = Cause(key=data["key"], kinds=(self.kind,), **self.values())
        return [cause, self.link(cause.key, data["fault"]), self.remedy(cause.key)]
