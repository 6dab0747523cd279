"""Forms of signing in: the second step, the PIN, the shared tablet, the rules."""

from collections.abc import Iterable
from typing import Any, ClassVar

from django import forms
from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from customers.forms import VersionedForm
from customers.people import name_of
from fittings.accounts import onetime
from fittings.accounts.pins import LENGTH, why_weak
from fittings.accounts.tries import spend_try, wipe_tries
from fittings.models import SharedTablet, SignInRules, Try

PAPER_LENGTH = 60  # a code on paper with every space somebody may put in
DIGITS = {"inputmode": "numeric", "autocomplete": "off", "class": "short"}


class PinField(forms.CharField):
    """Six digits, hidden while they are typed; the tablet shows its keys for digits."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.PasswordInput({**DIGITS, "maxlength": LENGTH, "pattern": "[0-9]*"})
        super().__init__(max_length=LENGTH, widget=widget, **kwargs)


class HandForm(forms.Form):
    """A name of the house, and its PIN."""

    prefix = "hand"
    person = forms.ChoiceField(label="Your name", widget=forms.RadioSelect)
    pin = PinField(label="Your PIN")

    def __init__(
        self, *args: Any, tablet: SharedTablet, people: Iterable[User], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.tablet = tablet
        self.people = {str(person.pk): person for person in people}
        named = [(pk, name_of(person)) for pk, person in self.people.items()]
        self.fields["person"].choices = named  # type: ignore[attr-defined]

    @property
    def chosen(self) -> User:
        return self.people[self.cleaned_data["person"]]


class CodeField(forms.CharField):
    """A code of the device, or one of the paper, without what stands between the digits."""

    def __init__(self, *, on_paper: bool = True, **kwargs: Any) -> None:
        typed = {"autocomplete": "one-time-code", "spellcheck": "false", "autocapitalize": "none"}
        digits = {} if on_paper else {"inputmode": "numeric"}
        super().__init__(
            max_length=PAPER_LENGTH, widget=forms.TextInput({**typed, **digits}), **kwargs
        )

    def to_python(self, value: Any) -> str:
        return "".join(sign for sign in super().to_python(value) or "" if sign.isalnum())


class CodeForm(forms.Form):
    code = CodeField(
        label="Code",
        help_text="The six digits your device shows now; without it, one from your paper.",
    )


class ConfirmForm(forms.Form):
    code = CodeField(label="The code the device shows now", on_paper=False)

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"]
        if len(code) != onetime.DIGITS:
            raise ValidationError(f"The device shows {onetime.DIGITS} digits.")
        return code


class OwnPasswordForm(forms.Form):
    """Asks who is signed in for their password once more."""

    password = forms.CharField(
        label="Your password",
        max_length=128,
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "current-password"}),
    )

    def __init__(self, person: User, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        """The password if it is theirs; so many wrong ones shut the field for a while."""
        password: str = self.cleaned_data["password"]
        spend_try(what=Try.What.PASSWORD, person=self.person)
        if not self.person.check_password(password):
            raise ValidationError("That is not your password.")
        wipe_tries(what=Try.What.PASSWORD, person=self.person)
        return password


class ProofForm(OwnPasswordForm):
    """The password, and the code where there is a second factor."""

    code = CodeField(
        label="Code", help_text="The six digits your device shows now, or one from your paper."
    )

    def __init__(self, *args: Any, has_factor: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_factor:
            del self.fields["code"]


class PinForm(OwnPasswordForm):
    """A PIN of one's own, typed twice."""

    pin = PinField(label="New PIN", help_text=f"{LENGTH} digits, for the house's shared tablets.")
    again = PinField(label="The PIN again")
    field_order = ["pin", "again", "password"]

    def clean_pin(self) -> str:
        pin: str = self.cleaned_data["pin"]
        if why := why_weak(pin):
            raise ValidationError(why)
        return pin

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if self.cleaned_data.get("pin", again) != again:
            raise ValidationError("The two are not the same.")
        return again


class OldPasswordForm(PasswordChangeForm):
    """Django's own form; the old password is asked for a few times only."""

    def clean_old_password(self) -> str:
        spend_try(what=Try.What.PASSWORD, person=self.user)
        old: str = super().clean_old_password()
        wipe_tries(what=Try.What.PASSWORD, person=self.user)
        return old


class TabletForm(forms.Form):
    name = forms.CharField(
        label="What this tablet is called",
        max_length=60,
        help_text="Such as where it lies: the owner ends it by this name.",
    )


class RulesForm(VersionedForm):
    class Meta:
        model = SignInRules
        fields: ClassVar = ["idle_minutes", "pin_idle_minutes", "longest_hours"]
        labels: ClassVar = {
            "idle_minutes": "Minutes without a touch that end a sign-in by password",
            "pin_idle_minutes": "Minutes without a touch that end one by PIN",
            "longest_hours": "Hours after which any sign-in ends",
        }
        help_texts: ClassVar = {
            "idle_minutes": "5 to 720.",
            "pin_idle_minutes": "2 to 240.",
            "longest_hours": "1 to 24, a working day. A change holds from the next sign-in on.",
        }
