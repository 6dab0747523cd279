"""What the owner types about keeping, erasing and looking back."""

import datetime
from typing import Any, cast

from django import forms
from django.contrib.auth.models import User
from django.utils import timezone

from customers.form_fields import EntryForm
from customers.meanwhile import show_what_was
from customers.models import Customer
from customers.numbers import tidy
from fittings.models import Erasure
from fittings.privacy.audit import Asked
from garments.forms import DAY_SHAPE, DayInput, PersonField

MONTH = datetime.timedelta(days=30)
FIRST_DAY = datetime.date(2000, 1, 1)  # before any entry of the ledger
WHOLE = {"invalid": "Write a whole number."}


class EraseForm(EntryForm):
    """The number typed, why, and what becomes of what is open."""

    reason = forms.ChoiceField(
        label="Why",
        choices=Erasure.Reason.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say why.", "invalid_choice": "Choose one of these."},
    )
    close_open = forms.BooleanField(label="Let go what is open, as listed", required=False)
    typed = forms.CharField(
        label="The customer's number",
        help_text="Typed as it stands on this page, so that nobody is erased by a slip.",
        max_length=40,
        widget=forms.TextInput(
            {"autocomplete": "off", "autocapitalize": "characters", "class": "short"}
        ),
        error_messages={"required": "Type the number of this customer."},
    )

    def __init__(self, *args: Any, closable: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not closable:
            del self.fields["close_open"]

    @property
    def values(self) -> dict[str, Any]:
        """What the service takes; nothing is let go where nothing was listed as open."""
        return {"close_open": False, **self.cleaned_data}


class RuleForm(EntryForm):
    """How long people and photographs are kept, and whether the timer may act by it."""

    years = forms.IntegerField(
        label="People: years after the last visit, delivery, order or booking",
        help_text="Empty keeps everyone. Tax and trade law may ask for longer, privacy law for "
        "shorter: ask someone licensed to advise.",
        required=False,
        min_value=1,
        max_value=100,
        error_messages=WHOLE,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
    )
    photograph_months = forms.IntegerField(
        label="Photographs: months after they were taken",
        help_text="Empty keeps all of them. Those of garments in work always stay.",
        required=False,
        min_value=1,
        max_value=1200,
        error_messages=WHOLE,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
    )
    alone = forms.BooleanField(
        label="The timer may erase by this rule without asking me", required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_what_was(self)


class AuditForm(forms.Form):
    """Whose and whose doing, from which day to which. Wrong days are said, the rest still holds."""

    customer = forms.CharField(
        label="Customer's number",
        required=False,
        max_length=40,
        widget=forms.TextInput({"autocomplete": "off", "class": "short"}),
    )
    by = PersonField(
        label="Person of the house",
        queryset=User.objects.order_by("first_name", "last_name", "pk"),
        required=False,
        empty_label="anyone",
    )
    since = forms.DateField(
        label="From", required=False, widget=DayInput, error_messages={"invalid": DAY_SHAPE}
    )
    until = forms.DateField(
        label="To", required=False, widget=DayInput, error_messages={"invalid": DAY_SHAPE}
    )
    refused = forms.BooleanField(label="Only what was refused", required=False)

    def clean_customer(self) -> Customer | None:
        typed = self.cleaned_data["customer"].strip()
        if not typed:
            return None
        try:
            found = Customer.objects.filter(number=tidy(typed)).first()
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
        if found is None:
            raise forms.ValidationError("No customer has that number.")
        return found

    def clean(self) -> dict[str, Any]:
        data = cast("dict[str, Any]", super().clean())
        since, until = data.get("since"), data.get("until")
        for name in ("since", "until"):
            if data.get(name) and not FIRST_DAY <= data[name] <= timezone.localdate():
                self.add_error(name, "Say a day of the ledger, from 2000 to today.")
        if since and until and until < since:
            self.add_error("until", "It must not be before the first day.")
        return data

    def asked(self) -> Asked:
        """The question; a month up to today where no day was given."""
        data = self.cleaned_data
        until = data.get("until") or timezone.localdate()
        since = data.get("since") or until - MONTH
        return Asked(
            since=since,
            until=until,
            customer=data.get("customer"),
            by=data.get("by"),
            refused=bool(data.get("refused")),
        )
