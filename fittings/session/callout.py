"""The call-out line on the fitting screen: its field, its chips, and what is kept of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, cast

from django import forms
from django.core.exceptions import ValidationError

from customers.form_fields import EntryForm
from fittings import callout
from fittings.callout import WHY, Choice, Entry, Heard, Leftover
from fittings.session import looking, screen
from fittings.session.causes import book_of_the_house
from fittings.session.services.callout import Called

REST: Final = "rest"
NONE: Final = "none"  # a chip that asked, answered by none of its choices
CHANGED: Final = "The line was changed: look at what is heard of it now, then keep it."
MARKED: Final = "Nothing is kept yet: see what is said at the marked entries."
TOO_LONG: Final = "At most %(limit_value)d letters at once: keep a first part, then go on."


@dataclass(frozen=True)
class Chip:
    """An entry as shown before it is kept.

    ``options`` are (value, words, whether it is chosen): one where the entry is sure, more where it
    asks. ``said`` are its words in the line, ``slips`` what was forgiven in them.
    """

    name: str
    options: tuple[tuple[str, str, bool], ...]
    said: str
    slips: tuple[str, ...]
    asks: bool
    error: str = ""


class CalloutForm(EntryForm):
    """What was typed and, to ``keep`` it, the chips chosen, each in a field of its own.

    A chip's value is held against the line read anew: nothing is kept that the line does not say.
    After ``is_valid`` ``called`` holds what is to be kept, by its place in the line.
    """

    line = forms.CharField(
        max_length=callout.LONGEST,
        strip=False,
        error_messages={
            "required": "Write or dictate what the fitter says.",
            "max_length": TOO_LONG,
        },
    )
    heard = forms.CharField(required=False, strip=False)
    note = forms.CharField(required=False)

    def __init__(self, *args: Any, kind: str, unit: str, keep: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.unit = unit
        self.keep = keep
        self.read = Heard()
        self.called: dict[int, Called] = {}
        self.wrong: dict[str, str] = {}

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        if "line" in self.errors:
            return data
        book, _ = book_of_the_house()
        self.read = callout.read_line(data["line"], book, self.kind, self.unit)
        if self.keep and data.get("heard", "").strip() != data["line"].strip():
            self.keep = False
            self.add_error("line", CHANGED)
        elif self.keep:
            self._choose(data.get("note", ""))
        return data

    def _choose(self, note: str) -> None:
        for place, entry in enumerate(self.read.entries):
            sent = str(self.data.get(f"chip-{place}", ""))
            if sent == NONE or (not sent and not asks(entry)):
                continue
            called = _called(entry, sent)
            if called is None:
                self.wrong[f"chip-{place}"] = "Say which it is." if not sent else "Choose again."
            else:
                self.called[place] = called
        if self.wrong:
            self.add_error(None, MARKED)
        elif not self.called and not note:
            self.add_error("line", "Nothing of it is left to keep.")

    def refuse(self, error: ValidationError) -> None:
        """Put a service's refusal at the chip it speaks of, or at its field."""
        for name, sentences in error.message_dict.items():
            if name.startswith("chip-"):
                self.wrong[name] = " ".join(sentences)
            else:
                for sentence in sentences:
                    self.add_error(name if name in self.fields else None, sentence)
        if self.wrong:
            self.add_error(None, MARKED)

    @property
    def chips(self) -> list[Chip]:
        return [self._chip(place, entry) for place, entry in enumerate(self.read.entries)]

    @property
    def unread(self) -> list[tuple[Leftover, str]]:
        """What was not read, each piece with the reason in words."""
        return [(piece, WHY[piece.why]) for piece in self.read.leftovers]

    @property
    def noted(self) -> str:
        """The note as it stands: as typed, or else everything that was not read."""
        if self.keep:
            return str(self.data.get("note", ""))
        return "; ".join(piece.text for piece in self.read.leftovers)

    def _chip(self, place: int, entry: Entry) -> Chip:
        name = f"chip-{place}"
        values = list(self._options(entry))
        sent = str(self.data.get(name, "")) if self.keep else ""
        if not asks(entry) and not self.keep:
            sent = values[0][0]
        start, end = entry.span
        return Chip(
            name=name,
            options=tuple((value, words, value == sent) for value, words in values),
            said=self.cleaned_data["line"][start:end],
            slips=tuple(f"{slip.wrote} → {slip.meant}" for slip in entry.forgiven),
            asks=asks(entry),
            error=self.wrong.get(name, ""),
        )

    def _options(self, entry: Entry) -> Iterator[tuple[str, str]]:
        if entry.rest:
            yield REST, "The rest: clean"
            return
        for choice in entry.choices:
            yield _value(choice), self._words(choice, entry)
        if asks(entry):
            yield NONE, "none of these"

    def _words(self, choice: Choice, entry: Entry) -> str:
        zone = looking.zone_name(self.kind, choice.zone)
        if not choice.fault:
            return f"{zone}: clean"
        said = [
            f"{zone}: {looking.fault_label(choice.fault)}",
            screen.SIDE_WORDS[choice.side],
            screen.amount_text(entry.amount, self.unit),
        ]
        return ", ".join(part for part in said if part)


def asks(entry: Entry) -> bool:
    """Whether the entry is to be chosen before it is kept."""
    return not entry.sure or len(entry.choices) > 1


def _value(choice: Choice) -> str:
    return f"{choice.zone}:{choice.fault}:{choice.side}"


def _called(entry: Entry, sent: str) -> Called | None:
    if entry.rest:
        return Called() if sent == REST else None
    choice = next((each for each in entry.choices if _value(each) == sent), None)
    if choice is None:
        return None
    return Called(choice.zone, choice.fault, choice.side, entry.amount)
