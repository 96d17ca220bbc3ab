"""Boxes of signing in, of people and of the firm."""

from typing import Any

from allauth.account.adapter import get_adapter
from allauth.account.forms import ReauthenticateForm
from allauth.mfa.base.forms import AuthenticateForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from django import forms
from django.http import HttpRequest

from sites.people.models import Person
from sites.people.words import ROLES

_PLAIN = {"class": "form-control"}
NO_MATCH = "E-mail and password don’t go together. Type both again."


def _email(label: str, **attrs: Any) -> forms.EmailField:
    return forms.EmailField(
        label=label,
        widget=forms.EmailInput(attrs=_PLAIN | attrs),
        error_messages={
            "required": "Type an e-mail address, such as name@example.org.",
            "invalid": "Type an e-mail address, such as name@example.org.",
        },
    )


def _password(label: str, autocomplete: str, asks: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        strip=False,
        widget=forms.PasswordInput(attrs=_PLAIN | {"autocomplete": autocomplete}),
        error_messages={"required": asks},
    )


class SignInForm(forms.Form):
    """E-mail and password. A refusal never says which of the two was wrong."""

    username = _email("E-mail", autocomplete="username", autofocus=True)
    password = _password("Password", "current-password", "Type your password.")

    def __init__(self, request: HttpRequest, **arguments: Any) -> None:
        super().__init__(**arguments)
        self.request = request
        self.person: Person | None = None

    def clean(self) -> dict[str, Any]:
        """Raises ValidationError for a wrong password and after too many."""
        typed: dict[str, Any] = super().clean() or {}
        if self.errors:
            return typed
        found = get_adapter().authenticate(
            self.request, email=typed["username"].strip().lower(), password=typed["password"]
        )
        if not isinstance(found, Person):
            raise forms.ValidationError(NO_MATCH, code="no_match")
        self.person = found
        return typed


class ForgottenForm(forms.Form):
    """The address of somebody who forgot the password."""

    email = _email("E-mail", autocomplete="username", autofocus=True)


class NewPasswordForm(forms.Form):
    """A new password, once: a person sees it again where the browser keeps it."""

    new_password1 = _password("New password", "new-password", "Type a new password.")

    def __init__(self, user: Person, *args: Any, **arguments: Any) -> None:
        super().__init__(*args, **arguments)
        self.user = user
        self.fields["new_password1"].help_text = "At least 10 characters; several words are best."


class ChangePasswordForm(NewPasswordForm):
    """The password of now, then a new one."""

    old_password = _password("Your password now", "current-password", "Type your password.")
    field_order = ("old_password", "new_password1")

    def clean_old_password(self) -> str:
        """Raises ValidationError for a wrong one, which counts as at sign-in."""
        typed = str(self.cleaned_data["old_password"])
        if not get_adapter().reauthenticate(self.user, typed):
            raise forms.ValidationError("That is not your password. Type it again.")
        return typed


def _own_code(box: forms.Field, label: str, hint: str) -> None:
    box.label, box.help_text = label, hint
    box.widget = forms.TextInput(
        attrs=_PLAIN | {"autocomplete": "one-time-code", "inputmode": "numeric", "autofocus": True}
    )
    box.error_messages["required"] = "Type the code."


class CodeForm(AuthenticateForm):
    """The second step of sign-in."""

    def __init__(self, *args: Any, **arguments: Any) -> None:
        super().__init__(*args, **arguments)
        hint = "Six digits from your app, or one of your recovery codes."
        _own_code(self.fields["code"], "One-time code", hint)


class SetUpCodeForm(ActivateTOTPForm):
    """The first code, which shows that the app has the key."""

    def __init__(self, *args: Any, **arguments: Any) -> None:
        super().__init__(*args, **arguments)
        hint = "The six digits that the app shows now."
        _own_code(self.fields["code"], "One-time code", hint)


class PasswordAgainForm(ReauthenticateForm):
    """The password once more, before something about signing in changes."""

    def __init__(self, *args: Any, **arguments: Any) -> None:
        super().__init__(*args, **arguments)
        self.fields["password"] = _password("Password", "current-password", "Type your password.")


class RolesForm(forms.Form):
    """Which roles a person has."""

    roles = forms.MultipleChoiceField(
        label="Roles",
        choices=[(key, name) for key, (name, _may) in ROLES.items()],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Give the person a role."},
    )


class InviteForm(RolesForm):
    """Whom to invite."""

    name = forms.CharField(
        label="Name",
        max_length=200,
        widget=forms.TextInput(attrs=_PLAIN | {"autocomplete": "off"}),
        error_messages={"required": "Type the person’s name."},
    )
    email = _email("E-mail", autocomplete="off")
    field_order = ("name", "email", "roles")


class FirmForm(forms.Form):
    """The firm's details, its logo, and whether it requires one-time codes."""

    name = forms.CharField(
        label="Name of the firm",
        max_length=200,
        widget=forms.TextInput(attrs=_PLAIN | {"autocomplete": "organization"}),
        error_messages={"required": "Type the name of the firm."},
    )
    address = forms.CharField(
        label="Address", required=False, widget=forms.Textarea(attrs=_PLAIN | {"rows": 4})
    )
    email = _email("E-mail", autocomplete="off")
    phone = forms.CharField(
        label="Telephone", max_length=50, required=False, widget=forms.TextInput(attrs=_PLAIN)
    )
    registration = forms.CharField(
        label="Registration",
        help_text="Of the installer scheme, as it is to stand in packs.",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs=_PLAIN),
    )
    logo = forms.FileField(
        label="New logo",
        help_text="PNG or JPEG, at most 2 MB. It is kept as PNG of at most 600 by 240 pixels.",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs=_PLAIN | {"accept": "image/png,image/jpeg"}),
    )
    no_logo = forms.BooleanField(label="Take the logo out", required=False)
    requires_code = forms.BooleanField(
        label="Everybody signs in with a one-time code",
        help_text="Whoever has none yet must set it up before any other page opens.",
        required=False,
    )

    def __init__(self, *args: Any, **arguments: Any) -> None:
        super().__init__(*args, **arguments)
        self.fields["email"].required = False
