"""The sign-in form."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """E-mail and password. A refusal never says which of the two was wrong."""

    username = forms.EmailField(
        label="E-mail",
        widget=forms.EmailInput(
            attrs={"autocomplete": "username", "autofocus": True, "class": "form-control"}
        ),
        error_messages={
            "required": "Type the e-mail address that you sign in with.",
            "invalid": "Type an e-mail address, such as name@example.org.",
        },
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        widget=forms.PasswordInput(
            attrs={"autocomplete": "current-password", "class": "form-control"}
        ),
        error_messages={"required": "Type your password."},
    )
    error_messages = {  # noqa: RUF012 - Django's own form names it without a type
        "invalid_login": "E-mail and password don’t go together. Type both again.",
        "inactive": "E-mail and password don’t go together. Type both again.",
    }

    def clean_username(self) -> str:
        """One spelling for each address, so that the throttle counts its attempts together."""
        return str(self.cleaned_data["username"]).strip().lower()
