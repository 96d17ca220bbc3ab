"""How allauth's accounts and one-time codes behave here; the pages are in `pages`."""

import ipaddress
from datetime import timedelta
from typing import Any

from allauth.account import app_settings
from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest
from django.utils import timezone

from sites.people.models import Firm

LOCKED_OUT = "too_many_login_attempts"


def address_of(request: HttpRequest) -> str:
    """The address of the person's machine.

    Behind the one proxy that TRUSTED_PROXY names, it is the last address that this proxy added;
    whatever a person writes into that header himself stands before it and is not read.
    """
    machine: str = request.META.get("REMOTE_ADDR", "")
    if settings.TRUSTED_PROXY and machine == settings.TRUSTED_PROXY:
        told = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
        try:
            return str(ipaddress.ip_address(told))
        except ValueError:
            return machine
    return machine or "unknown"


class Accounts(DefaultAccountAdapter):
    """Nobody signs up; attempts count for an address from one machine; words are our own."""

    error_messages = {  # noqa: RUF012 - allauth's own names it without a type
        **DefaultAccountAdapter.error_messages,
        LOCKED_OUT: "Too many wrong attempts. Wait a quarter of an hour, then try again.",
        "rate_limited": "Too many wrong attempts. Wait a quarter of an hour, then try again.",
        "incorrect_password": "That is not your password. Type it again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody signs up: a manager invites."""
        return False

    def get_client_ip(self, request: HttpRequest) -> str:
        """The address that attempts are counted for."""
        return address_of(request)

    def _get_login_attempts_cache_key(self, request: HttpRequest, **credentials: Any) -> str:
        return f"{str(credentials.get('email', '')).strip().lower()} {address_of(request)}"

    def add_message(self, *args: Any, **kwargs: Any) -> None:
        """Says nothing: each page of ours says what was done."""

    def reauthenticate(self, user: AbstractBaseUser, password: str) -> bool:
        """Whether this is the person's password; a wrong one counts as at sign-in."""
        email = user.get_username()
        found = self.authenticate(context.request, email=email, password=password)
        return found is not None and found.pk == user.pk

    def is_reauthentication_required(self, *, app: str, **kwargs: Any) -> bool:
        """Not within five minutes of signing in, so that nobody types a password twice."""
        last = context.request.user.last_login
        fresh = timedelta(seconds=app_settings.REAUTHENTICATION_TIMEOUT)
        return last is None or timezone.now() - last > fresh


class Codes(DefaultMFAAdapter):
    """One-time codes, with words of our own."""

    error_messages = {  # noqa: RUF012 - allauth's own names it without a type
        **DefaultMFAAdapter.error_messages,
        "cannot_delete_authenticator": "Your firm requires a one-time code.",
        "incorrect_code": "That is not the code of this moment. Type the one that is shown now.",
    }

    def can_delete_authenticator(self, authenticator: Authenticator) -> bool:
        """Not where the firm requires a code."""
        return not Firm.objects.filter(requires_code=True).exists()
