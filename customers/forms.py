"""Forms about people and the house: finding, registering, changing, agreeing."""

import uuid
from typing import TYPE_CHECKING, Any, ClassVar

from django import forms
from django.contrib.auth.models import User
from django.db import models
from django.utils import timezone

from customers.form_fields import EntryForm
from customers.meanwhile import There, show_what_was
from customers.models import Consent, Customer, House, Unit
from customers.queries import last_changer

if TYPE_CHECKING:
    AnyModelForm = forms.ModelForm[models.Model]
else:  # Django's forms cannot be subscripted when they run
    AnyModelForm = forms.ModelForm

REOPEN = "This page has lost a part of itself: open it again."
LOST = {"required": REOPEN, "invalid": REOPEN, "min_value": REOPEN, "invalid_choice": REOPEN}
# The device belongs to the house: what its browser remembers is never the customer's.
PLAIN_INPUT = {"autocomplete": "off", "spellcheck": "false"}


class FindForm(forms.Form):
    q = forms.CharField(
        required=False,
        max_length=100,
        error_messages={"max_length": "That is too long to look for."},
    )


class VersionedForm(AnyModelForm):
    """Changes a row two people may have open; see ``customers.meanwhile``.

    ``initial`` is the row as ``model_to_dict`` gives it.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, error_messages=LOST)
    clashed = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.fields.get("version"):
            show_what_was(self)

    @property
    def values(self) -> dict[str, Any]:
        """What the service writes: the model's own fields."""
        return {name: self.cleaned_data[name] for name in self._meta.fields or ()}

    def there(self) -> There:
        """What the row says now."""
        model = self._meta.model
        row: Any = model._default_manager.get(pk=self.initial[model._meta.pk.name])
        values = {name: getattr(row, name) for name in self._meta.fields or ()}
        return There(values, by=self.changer_of(row), version=row.version)

    def changer_of(self, _row: Any) -> User | None:
        """Who changed the row last, where the record says so."""
        return None


class CustomerForm(VersionedForm):
    unit = forms.ChoiceField(
        label="Measures read in",
        choices=[("", "as the house does"), *Unit.choices],
        required=False,
        widget=forms.RadioSelect,
    )

    class Meta:
        model = Customer
        fields: ClassVar = [
            "title",
            "given_name",
            "family_name",
            "phone",
            "email",
            "town",
            "unit",
            "notes",
        ]
        labels: ClassVar = {"phone": "Telephone", "email": "E-mail", "town": "Fitted in the town"}
        help_texts: ClassVar = {
            "town": "On trips there they are offered times. Empty: fitted at the house."
        }
        widgets: ClassVar = {
            "title": forms.TextInput(PLAIN_INPUT | {"class": "short"}),
            "given_name": forms.TextInput(PLAIN_INPUT),
            "family_name": forms.TextInput(PLAIN_INPUT),
            "phone": forms.TextInput(PLAIN_INPUT | {"inputmode": "tel"}),
            "email": forms.EmailInput(PLAIN_INPUT),
            "town": forms.TextInput(PLAIN_INPUT),
            "notes": forms.Textarea({"rows": 4}),
        }

    def changer_of(self, row: Any) -> User | None:
        return last_changer(row, row.number)


class RegisterForm(CustomerForm):
    """A new customer; asks once when someone of that name or telephone is known already."""

    version = None  # type: ignore[assignment]
    form_id = forms.UUIDField(
        widget=forms.HiddenInput, initial=uuid.uuid4, required=False, error_messages=LOST
    )
    different = forms.BooleanField(label="This is a different person", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.alike: list[Customer] = []

    def clean_form_id(self) -> uuid.UUID:
        return self.cleaned_data["form_id"] or uuid.uuid4()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "family_name" not in cleaned:
            return cleaned
        # What this very form registered when it was sent before is not someone alike.
        others = Customer.objects.exclude(form_id=cleaned.get("form_id", uuid.UUID(int=0)))
        names = (cleaned.get("given_name", ""), cleaned["family_name"])
        self.alike = list(others.alike(*names, cleaned.get("phone", ""))[:5])
        if self.alike and not cleaned.get("different"):
            self.add_error("different", "Someone like this is known already: is it the same one?")
        return cleaned


class ConsentForm(EntryForm):
    """What a customer agreed to or refused. The words are the house's own, and can be changed."""

    kind = forms.ChoiceField(
        choices=Consent.Kind.choices, widget=forms.HiddenInput, error_messages=LOST
    )
    given = forms.TypedChoiceField(
        label="Answer",
        choices=[("yes", "agrees"), ("no", "refuses")],
        coerce=lambda answer: answer == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what the customer answered."},
    )
    given_on = forms.DateField(
        label="On",
        initial=timezone.localdate,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )
    wording = forms.CharField(
        label="What was asked, in these words",
        max_length=1000,
        widget=forms.Textarea({"rows": 6}),
    )


WORDINGS = {
    Consent.Kind.FITTING_PHOTOGRAPHS: (
        "Photographs of the garment on me may be taken at my fittings. Only the people of this "
        "house who work on my garments see them. I may ask at any time that no more are taken, "
        "and that those kept are taken out."
    ),
    Consent.Kind.PUBLICITY: (
        "The house may show photographs of the garment on me to others: in the shop, in print or "
        "on the web. I may take this back at any time; what is printed by then cannot be recalled."
    ),
    Consent.Kind.MESSAGES: (
        "The house may write to me about my fittings and my garments, by e-mail or to my "
        "telephone: when a fitting is booked, moved or near, and when something is ready. "
        "I may take this back at any time, and from then on nothing more is sent."
    ),
}


class HouseForm(VersionedForm):
    class Meta:
        model = House
        fields: ClassVar = [
            "name",
            "address",
            "unit",
            "opens",
            "closes",
            "minute_cost",
            "metre_cost",
        ]
        labels: ClassVar = {
            "name": "Name of the house",
            "unit": "The house measures in",
            "minute_cost": "A bench minute costs",
            "metre_cost": "A metre of cloth costs",
        }
        help_texts: ClassVar = {
            "minute_cost": "In the house's money, such as 1.20. The review reckons by it.",
            "metre_cost": "In the house's money, on average.",
        }
        widgets: ClassVar = {
            "name": forms.TextInput(PLAIN_INPUT),
            "address": forms.Textarea({"rows": 3}),
            "unit": forms.RadioSelect,
            "opens": forms.TimeInput({"type": "time"}, format="%H:%M"),
            "closes": forms.TimeInput({"type": "time"}, format="%H:%M"),
        }

    def clean(self) -> dict[str, Any]:
        """Say beside the field what the table's constraint refuses."""
        cleaned = super().clean() or self.cleaned_data
        opens, closes = cleaned.get("opens"), cleaned.get("closes")
        if opens and closes and closes <= opens:
            self.add_error("closes", "Closing time comes after opening time.")
        return cleaned

    def changer_of(self, _row: Any) -> User | None:
        return last_changer(None, "the house")
