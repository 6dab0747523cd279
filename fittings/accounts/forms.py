"""Forms for the people of the house."""

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.contrib.auth.models import User

from customers.meanwhile import show_what_was
from fittings.config.access import ROLES


class PersonForm(forms.Form):
    """Someone new: name, the name they sign in with, what they do, a first password."""

    first_name = forms.CharField(label="First name", max_length=60)
    last_name = forms.CharField(label="Family name", max_length=60)
    username = forms.CharField(
        label="Sign-in name",
        max_length=60,
        widget=forms.TextInput({"autocapitalize": "none", "spellcheck": "false"}),
    )
    email = forms.EmailField(
        label="E-mail",
        required=False,
        max_length=254,
        help_text="For an owner: where the monthly letter goes.",
        widget=forms.EmailInput({"autocomplete": "off"}),
    )
    roles = forms.MultipleChoiceField(
        label="Work",
        choices=[(role, role.capitalize()) for role in ROLES],
        widget=forms.CheckboxSelectMultiple,
    )
    password = forms.CharField(
        label="First password",
        help_text="At least 10 characters. They can change it after signing in.",
        max_length=128,
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )

    def clean_username(self) -> str:
        """The sign-in name as the user model takes it, refused when someone has it."""
        username: str = self.cleaned_data["username"]
        User._meta.get_field("username").run_validators(username)
        if User.objects.filter(username__iexact=username).exists():
            raise forms.ValidationError("Someone already signs in with this name.")
        return username

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if password:
            password_validation.validate_password(password)
        return password


class PersonUpdateForm(PersonForm):
    """Change someone: the sign-in name stays; an empty password leaves theirs as it is."""

    active = forms.BooleanField(label="May sign in", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["username"]
        self.fields["password"].required = False
        self.fields["password"].label = "New password"
        self.fields["password"].help_text = "Leave empty to keep the one they have."
        show_what_was(self)
        self.fields["password"].show_hidden_initial = False

    def clean_username(self) -> str:
        return ""
