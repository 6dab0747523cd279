"""What is typed in the workroom: tickets, their changes, the bench's answers, the list's filter."""

import datetime
import uuid
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from operator import itemgetter
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from customers.form_fields import EntryForm
from customers.meanwhile import show_what_was
from customers.templatetags.lengths import fractions
from garments import seams
from garments.forms import DayInput
from garments.models import WEEKDAYS, Alteration, Answer, BenchHours, Garment, TicketRevision
from garments.models.bench import MOST_MINUTES
from garments.queries import inlays_of
from garments.seams.work import OPERATIONS
from garments.tickets import alteration_words
from garments.workroom.due import suggest_due
from garments.workroom.inlay import Span, walk
from garments.workroom.queries import NOBODY, State, offered
from garments.workroom.scanning import LONGEST, read_code
from garments.workroom.services import FITTERS

if TYPE_CHECKING:
    LineChoice = forms.ModelMultipleChoiceField[Alteration]
else:  # Django's fields cannot be subscripted when they run
    LineChoice = forms.ModelMultipleChoiceField

SHORT = "A line asks more than its inlay has: make it less, count the inlay, or tick this."
FURTHEST_DUE = datetime.timedelta(days=366)  # beyond it the year is mistyped; house rule


class LinesField(LineChoice):
    """The alterations that may go on a ticket, each with its amount and inlay."""

    default_error_messages = {
        "required": "Choose at least one line.",
        "invalid_choice": "A line chosen is not open on this garment: look at the list again.",
    }

    def offer(self, garment: Garment, revision: TicketRevision | None, unit: str) -> None:
        """Offer what is open on a garment, and what is on the revision to be changed."""
        self.queryset = offered(garment, revision)
        lines = seams.working_order(self.queryset)
        spans = walk(lines, inlays_of(garment), garment.kind)
        self.offered, self.lines = [line.pk for line in lines], lines
        self.short = {line.pk for line, span in zip(lines, spans, strict=True) if span.short}
        self.choices = [
            (line.pk, _choice(line, span, garment, unit))
            for line, span in zip(lines, spans, strict=True)
        ]

    def clean(self, value: Any) -> Any:
        try:
            return super().clean(value)
        except forms.ValidationError as error:
            # What is no id at all speaks of UUIDs; to the person it is one more line not open.
            if error.code in {"invalid", "invalid_pk_value"}:
                raise forms.ValidationError(self.error_messages["invalid_choice"]) from error
            raise


def _choice(line: Alteration, span: Span, garment: Garment, unit: str) -> SafeString:
    # The amount is what is decided on; a shortage is said before the ticket is issued, not after.
    words = alteration_words(line, span.before, span.after, garment.kind, unit)
    short = format_html(
        ' <b class="badge warn">not enough inlay: {} short</b>', fractions(span.short.text(unit))
    )
    return format_html(
        "<span><b>{}</b> · {}<br><b>{}</b> <span>{}</span>{}</span>",
        words.operation,
        words.seam,
        fractions(words.amount_and_side),
        fractions(words.inlay),
        short if span.short else "",
    )


class TicketForm(EntryForm):
    """A ticket: its lines, all chosen at first, the day it is due, a note."""

    alterations = LinesField(
        label="Lines", queryset=Alteration.objects.none(), widget=forms.CheckboxSelectMultiple
    )
    due_on = forms.DateField(
        label="Due", widget=DayInput, error_messages={"required": "Say the day it is due."}
    )
    note = forms.CharField(
        label="Note for the workroom",
        max_length=1000,
        required=False,
        widget=forms.Textarea({"rows": 3}),
    )
    ask_first = forms.BooleanField(
        label="Where the inlay is short, the bench asks before it cuts", required=False
    )
    field_order = ("alterations", "ask_first", "due_on", "note")

    def __init__(
        self,
        data: Any = None,
        *,
        garment: Garment,
        unit: str,
        revision: TicketRevision | None = None,
    ) -> None:
        super().__init__(data, initial=self._first(garment, revision))
        lines = self.fields["alterations"]
        if isinstance(lines, LinesField):
            lines.offer(garment, revision, unit)
            if not lines.short:
                del self.fields["ask_first"]
            self.initial.setdefault("alterations", lines.offered)

    def _first(self, garment: Garment, revision: TicketRevision | None) -> dict[str, Any]:
        today = timezone.localdate()
        if revision is None:
            return {"due_on": suggest_due(today, garment.promised_on)}
        return {
            "due_on": max(revision.due_on, today),
            "note": revision.note,
            "alterations": [line.alteration_id for line in revision.lines.all()],
            "replaces": revision.revision,
        }

    @property
    def lines(self) -> list[Alteration]:
        """What may go on the ticket, in working order."""
        field = self.fields["alterations"]
        return field.lines if isinstance(field, LinesField) else []

    @property
    def short(self) -> set[uuid.UUID]:
        """Those of them that their seam has not inlay enough for."""
        field = self.fields["alterations"]
        return field.short if isinstance(field, LinesField) else set()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        asks = cleaned.pop("ask_first", True)
        if not asks and self.short & {line.pk for line in cleaned.get("alterations", ())}:
            self.add_error("ask_first", SHORT)
        return cleaned

    def clean_due_on(self) -> datetime.date:
        due_on: datetime.date = self.cleaned_data["due_on"]
        if due_on > timezone.localdate() + FURTHEST_DUE:
            raise forms.ValidationError("That is more than a year away: look at the year again.")
        return due_on


class RevisionForm(TicketForm):
    """A change: the same, and why. ``replaces`` is the revision that was on the screen."""

    reason = forms.CharField(
        label="Why it is changed",
        max_length=300,
        error_messages={"required": "Say why it is changed: the workroom asks first."},
    )
    replaces = forms.IntegerField(widget=forms.HiddenInput)


class AnswerForm(EntryForm):
    """What the bench says; ``back`` is the page the answer was given on."""

    kind = forms.ChoiceField(
        choices=[(kind.value, kind.label) for kind in Answer.Kind if kind not in FITTERS],
        error_messages={
            "required": "Choose one of the answers.",
            "invalid_choice": "Choose one of the answers.",
        },
    )
    reason = forms.CharField(
        label="What to ask, or why it cannot be done", max_length=300, required=False
    )
    trimmed = forms.TypedMultipleChoiceField(
        label="Was cloth trimmed away?",
        help_text="Touch what was cut off. The rest stays inside and can be let out again.",
        coerce=uuid.UUID,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    back = forms.ChoiceField(choices=[("list", ""), ("ticket", "")], required=False)

    def __init__(
        self, data: Any = None, *, freeing: Sequence[Alteration] = (), kind: str = ""
    ) -> None:
        super().__init__(data)
        trimmed = self.fields["trimmed"]
        if isinstance(trimmed, forms.ChoiceField):
            trimmed.choices = [
                (str(line.pk), seams.place_name(kind, line.operation, line.seam, line.side))
                for line in freeing
            ]
        if not freeing:
            del self.fields["trimmed"]


class ReplyForm(EntryForm):
    """What the fitter answers to the bench's question."""

    reason = forms.CharField(
        label="Your answer to the workroom",
        max_length=300,
        error_messages={"required": "Write the answer: the bench waits for it."},
    )


class ListForm(forms.Form):
    """Which tickets to show: those outstanding unless a state is chosen."""

    state = forms.ChoiceField(
        label="State", choices=[("", "all that is owed"), *State.choices], required=False
    )
    hand = forms.ChoiceField(
        label="Who has it",
        required=False,
        error_messages={"invalid_choice": "Nobody of that name has taken a ticket."},
    )
    operation = forms.ChoiceField(
        label="Operation",
        required=False,
        error_messages={"invalid_choice": "There is no such operation."},
    )
    day = forms.DateField(label="Due on", widget=DayInput, required=False)

    def __init__(self, data: Any, *, hands: Mapping[str, str], operations: Iterable[str]) -> None:
        """``hands`` are names by username; ``operations`` the keys that are offered first."""
        super().__init__(data)
        offered = {key: seams.operation(key).name for key in operations}
        rest = {key: row.name for key, row in OPERATIONS.items() if key not in offered}
        choices: dict[str, Any] = {
            "hand": [("", "anybody"), (NOBODY, "nobody yet"), *hands.items()],
            "operation": [
                ("", "any"),
                ("owed now", sorted(offered.items(), key=itemgetter(1))),
                ("not owed now", sorted(rest.items(), key=itemgetter(1))),
            ],
        }
        for name, rows in choices.items():
            field = self.fields[name]
            if isinstance(field, forms.ChoiceField):
                field.choices = rows


class BenchForm(EntryForm):
    """The hours the bench works on each weekday, all hands together."""

    def __init__(self, data: Any = None, *, now: BenchHours | None = None) -> None:
        super().__init__(data)
        for name, hours in self.shown(now).items():
            self.fields[name] = forms.DecimalField(
                label=name.capitalize(),
                min_value=0,
                max_value=MOST_MINUTES // 60,
                max_digits=6,
                decimal_places=2,
                initial=hours,
                widget=forms.NumberInput({"step": "0.25", "inputmode": "decimal"}),
                error_messages={
                    "required": "Write the hours, or 0 when nobody works.",
                    "invalid": "Write the hours in figures, like 22.5.",
                    "min_value": "Hours cannot be less than nothing.",
                    "max_value": "That is more than forty pairs of hands round the clock.",
                },
            )
        show_what_was(self)

    @staticmethod
    def shown(now: BenchHours | None) -> dict[str, Decimal]:
        """The hours of each weekday, to the hundredth."""
        minutes = {name: Decimal(getattr(now, name) if now else 0) for name in WEEKDAYS}
        to = Decimal("0.01")
        return {
            # Spelt out: a plain 30 would else be shown as 3E+1.
            name: Decimal(f"{(of_day / 60).quantize(to).normalize():f}")
            for name, of_day in minutes.items()
        }

    @staticmethod
    def week_of(hours: Mapping[str, Decimal]) -> tuple[int, ...]:
        """Minutes from Monday to Sunday."""
        return tuple(round(hours[name] * 60) for name in WEEKDAYS)


class ScanForm(forms.Form):
    """The code of a paper, from a scanner that types it or from a hand; cleans to a revision.

    Of a number alone it is the one that holds.
    """

    code = forms.CharField(
        label="Scan or type a ticket",
        max_length=LONGEST,
        error_messages={"required": "Scan a ticket's code, or type its number."},
        widget=forms.TextInput(
            {"autocomplete": "off", "spellcheck": "false", "enterkeyhint": "go", "size": "14"}
        ),
    )

    def clean_code(self) -> TicketRevision:
        try:
            scanned = read_code(self.cleaned_data["code"])
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
        rows = TicketRevision.objects.filter(ticket__number=scanned.number)
        rows = rows.filter(revision=scanned.revision) if scanned.revision else rows.standing()
        found = rows.select_related("ticket").first()
        if found is None:
            which = f" revision {scanned.revision}" if scanned.revision else ""
            raise forms.ValidationError(f"There is no ticket {scanned.number}{which}.")
        return found


class DayForm(forms.Form):
    """The day whose tickets are printed."""

    day = forms.DateField(error_messages={"required": "Say which day to print."})
