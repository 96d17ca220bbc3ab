"""Addresses of signing in and out, of one's account, of people and of the firm.

Names that begin with `account_` or `mfa_` are those that allauth looks for. None of its own pages
has an address here, nor has any way to sign up.
"""

from django.urls import URLPattern, path

from sites.people.pages.account import (
    EndCode,
    NewRecoveryCodes,
    PasswordAgain,
    RecoveryCodes,
    SetUpCode,
    account,
    morning_mail,
)
from sites.people.pages.firm import firm, firm_logo
from sites.people.pages.passwords import PasswordSet, change_password, forgotten
from sites.people.pages.people import (
    invite,
    people,
    person_end,
    person_forget_code,
    person_link,
    person_page,
    person_roles,
)
from sites.people.pages.signing import SignIn, SignInCode, sign_out
from sites.people.pages.token import fresh_token

urlpatterns: list[URLPattern] = [
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-in/", SignIn.as_view(), name="account_login"),
    path("sign-in/code/", SignInCode.as_view(), name="mfa_authenticate"),
    path("sign-in/forgotten/", forgotten, name="password-forgotten"),
    path("sign-in/password/<uidb64>/<token>/", PasswordSet.as_view(), name="password-set"),
    path("sign-out/", sign_out, name="sign-out"),
    path("token/", fresh_token, name="fresh-token"),
    path("account/", account, name="account"),
    path("account/mail/", morning_mail, name="morning-mail"),
    path("account/password/", change_password, name="password-change"),
    path("account/password/again/", PasswordAgain.as_view(), name="account_reauthenticate"),
    path("account/code/", SetUpCode.as_view(), name="mfa_activate_totp"),
    path("account/code/end/", EndCode.as_view(), name="mfa_deactivate_totp"),
    path("account/code/recovery/", RecoveryCodes.as_view(), name="mfa_view_recovery_codes"),
    path("account/code/recovery/new/", NewRecoveryCodes.as_view(), name="recovery-codes-new"),
    path("firm/", firm, name="firm"),
    path("firm/logo/", firm_logo, name="firm-logo"),
    path("people/", people, name="people"),
    path("people/invite/", invite, name="person-invite"),
    path("people/<uuid:key>/", person_page, name="person"),
    path("people/<uuid:key>/roles/", person_roles, name="person-roles"),
    path("people/<uuid:key>/end/", person_end, name="person-end"),
    path("people/<uuid:key>/link/", person_link, name="person-link"),
    path("people/<uuid:key>/code/", person_forget_code, name="person-forget-code"),
]
