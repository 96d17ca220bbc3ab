"""A person's own account: password, one-time code and recovery codes."""

from typing import Any

from allauth.account.views import ReauthenticateView
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.views import GenerateRecoveryCodesView, ViewRecoveryCodesView
from allauth.mfa.totp.views import ActivateTOTPView, DeactivateTOTPView
from django.conf import settings
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.views.decorators.http import require_POST, require_safe

from sites.people.fetching import person_of
from sites.people.forms import PasswordAgainForm, SetUpCodeForm
from sites.people.models import Firm
from sites.people.pages.boxes import faults_of
from sites.people.reading import has_code, roles_in_words
from sites.people.writing import note_code, switch_morning_mail

METHODS = ("get", "head", "post")


@require_safe
def account(request: HttpRequest) -> HttpResponse:
    """Show who one is here, and how one signs in."""
    person = person_of(request)
    codes = Authenticator.objects.filter(
        user=person, type=Authenticator.Type.RECOVERY_CODES
    ).first()
    context = {
        "person": person,
        "roles": roles_in_words(person),
        "has_code": has_code(person),
        "codes_left": len(codes.wrap().get_unused_codes()) if codes else 0,
        "mail_is_set_up": settings.MAIL_IS_SET_UP,
        "required": Firm.objects.filter(requires_code=True).exists(),
    }
    return render(request, "people/account.html", context)


@require_POST
def morning_mail(request: HttpRequest) -> HttpResponse:
    """Switch the morning mail on, or without "on" off."""
    on = bool(request.POST.get("on"))
    switch_morning_mail(on=on, by=person_of(request))
    messages.success(request, f"The morning mail is {'on' if on else 'off'}.")
    return redirect("account")


class _WithFaults:
    """Adds the boxes at fault to a page of allauth, for the summary at the top."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context: dict[str, Any] = super().get_context_data(**kwargs)  # type: ignore[misc]
        form = context["form"]
        context["faults"] = faults_of(form) if form.is_bound else []
        return context


class PasswordAgain(_WithFaults, ReauthenticateView):
    """The password once more, before something about signing in changes."""

    form_class = PasswordAgainForm
    template_name = "people/password_again.html"
    http_method_names = METHODS


class SetUpCode(_WithFaults, ActivateTOTPView):
    """Set up a one-time code: show the key, and take the first code."""

    form_class = SetUpCodeForm
    template_name = "people/code_set_up.html"
    http_method_names = METHODS
    success_url = reverse_lazy("mfa_view_recovery_codes")

    def get_success_url(self) -> str:
        """The recovery codes, which are shown once."""
        return str(self.success_url)

    def form_valid(self, form: Any) -> HttpResponse:
        """Keep the key, with its event."""
        with transaction.atomic():
            answer: HttpResponse = super().form_valid(form)
            note_code(set_up=True, by=person_of(self.request))
        return answer


class EndCode(DeactivateTOTPView):
    """Stop using a one-time code."""

    template_name = "people/code_end.html"
    http_method_names = METHODS
    success_url = reverse_lazy("account")

    def form_valid(self, form: Any) -> HttpResponse:
        """Take the key away, with its event."""
        with transaction.atomic():
            answer: HttpResponse = super().form_valid(form)
            note_code(set_up=False, by=person_of(self.request))
        messages.success(self.request, "You sign in with your password alone now.")
        return answer


class RecoveryCodes(ViewRecoveryCodesView):
    """The recovery codes, shown once; later only how many are left."""

    template_name = "people/recovery_codes.html"
    http_method_names = ("get", "head")


class NewRecoveryCodes(GenerateRecoveryCodesView):
    """Ten new recovery codes in place of the old ones."""

    template_name = "people/recovery_codes_new.html"
    http_method_names = METHODS
