"""What is answered to one proposed change of the pattern, in one tap."""

from collections.abc import Sequence
from types import MappingProxyType
from typing import Any, Final

from django import forms
from django.http import QueryDict

from customers.form_fields import EntryForm, LengthFormField, LengthInput
from garments.carrying.queries import CarryLine
from garments.carrying.services import NO_REASON

CARRY, IN_WORDS = "carry", "words"
# Why a change is left out, one key each; whatever else there is to say is written.
REASONS: Final = MappingProxyType(
    {
        "cut": "Another cut this time.",
        "figure": "The figure has changed.",
        "few": "Too few garments to go by.",
    }
)


class CarryForm(EntryForm):
    """One line: carried, with the amount, or left out, with the reason."""

    change = forms.CharField(widget=forms.HiddenInput)
    amount = LengthFormField(label="Amount")
    reason = forms.CharField(
        label="The reason", max_length=300, error_messages={"required": NO_REASON}
    )
    answer = forms.ChoiceField(
        choices=[(CARRY, "Carry"), *REASONS.items(), (IN_WORDS, "Left out")],
        error_messages={
            "required": "Say whether it is carried or left out.",
            "invalid_choice": "Say whether it is carried or left out.",
        },
    )

    def __init__(self, data: QueryDict | None = None, *, line: CarryLine, **kwargs: Any) -> None:
        reason = "" if line.answer is None or line.answer.accepted else line.answer.reason
        first = {
            "change": line.key,
            "amount": line.amount,
            "reason": "" if reason in REASONS.values() else reason,
        }
        super().__init__(data, initial=first, auto_id=f"{line.key}.%s", **kwargs)
        self.line = line
        said = data.get("answer") if data is not None else None
        self.fields["amount"] = LengthFormField(
            label="Amount",
            unit=line.unit,
            widget=_SmallLength(line.unit),
            required=said in (None, CARRY),
            error_messages={"required": "Write how much is carried."},
        )
        self.fields["reason"].required = said in (None, IN_WORDS)

    @property
    def reasons(self) -> list[tuple[str, str, bool]]:
        """The keys to leave it out by: what is sent, what is read, and whether it was chosen."""
        answer = self.line.answer
        given = "" if answer is None or answer.accepted else answer.reason
        return [(key, words.rstrip("."), words == given) for key, words in REASONS.items()]

    @property
    def answered(self) -> dict[str, Any]:
        """What the service writes."""
        answer, line = self.cleaned_data["answer"], self.line
        carried = answer == CARRY
        said = REASONS.get(answer, self.cleaned_data["reason"])
        return {
            "entry_id": self.cleaned_data["entry_id"],
            "operation": line.operation,
            "seam": line.seam,
            "side": line.side,
            "amount": self.cleaned_data["amount"] if carried else None,
            "accepted": carried,
            "reason": "" if carried else said,
        }


class _SmallLength(LengthInput):
    """An amount of a few eighths: on the pad a fraction touched first stands alone."""

    def __init__(self, unit: str) -> None:
        super().__init__(unit)
        self.attrs["data-afresh"] = "true"


def forms_of(lines: Sequence[CarryLine], sent: QueryDict | None) -> list[CarryForm]:
    """A form for each line; what was ``sent`` goes to the line it names."""
    named = sent.get("change", "") if sent is not None else ""
    return [CarryForm(sent if line.key == named else None, line=line) for line in lines]
