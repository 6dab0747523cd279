"""What is typed and tapped about the post."""

from typing import Any, ClassVar

from django import forms

from customers.form_fields import EntryForm
from customers.forms import LOST, VersionedForm
from fittings.models import PostRules
from fittings.post import services
from fittings.post.wording import Words, wrong_in


class WayForm(EntryForm):
    """How a message that was looked at is dealt with; ``shown`` is the mark of what it said."""

    way = forms.ChoiceField(
        choices=[(way, way) for way in services.BECOMES], widget=forms.HiddenInput
    )
    shown = forms.CharField(max_length=32, widget=forms.HiddenInput, error_messages=LOST)


class MarkForm(forms.Form):
    what = forms.ChoiceField(choices=[("again", "again"), ("hold", "hold")])


class WordingForm(EntryForm):
    """The words of one kind of message; a place nobody knows is refused beside its field."""

    subject = forms.CharField(max_length=150, label="Subject of the e-mail")
    body = forms.CharField(
        max_length=4000, label="The e-mail", strip=False, widget=forms.Textarea({"rows": 14})
    )
    short = forms.CharField(
        max_length=600, label="Text for a telephone", widget=forms.Textarea({"rows": 3})
    )
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0, error_messages=LOST)

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind

    def clean(self) -> dict[str, Any]:
        """Say beside the field which of its places there are not."""
        cleaned = super().clean() or self.cleaned_data
        for field in ("subject", "body", "short"):
            for sentence in wrong_in(cleaned.get(field, ""), self.kind):
                self.add_error(field, sentence)
        if not str(cleaned.get("body", "x")).strip():
            self.add_error("body", "Write what the e-mail says.")
        return cleaned

    @property
    def words(self) -> Words:
        """What was typed, lines ending as they are kept."""
        data = self.cleaned_data
        body = data["body"].replace("\r\n", "\n").replace("\r", "\n").strip()
        return Words(data["subject"], body, data["short"])


class RulesForm(VersionedForm):
    class Meta:
        model = PostRules
        fields: ClassVar = ["reminder_days", "reminders", "on_closed_days", "feed_shows"]
        labels: ClassVar = {
            "reminder_days": "Days before a fitting that its reminder is due",
            "reminders": "Reminders go out",
            "on_closed_days": "Messages go out on closed days and holidays too",
            "feed_shows": "Calendars name customers by",
        }
        widgets: ClassVar = {"reminders": forms.RadioSelect, "feed_shows": forms.RadioSelect}
        help_texts: ClassVar = {
            "feed_shows": "A calendar is read on telephones and screens that others see too."
        }
