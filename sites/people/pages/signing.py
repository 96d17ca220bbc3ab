"""Signing in, in one step or two, and out."""

from typing import Any

from allauth.account.utils import perform_login
from allauth.mfa.base.views import AuthenticateView
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from sites.people.accounts import LOCKED_OUT
from sites.people.forms import CodeForm, SignInForm
from sites.people.models import Firm
from sites.people.pages.boxes import faults_of


class SignIn(LoginView):
    """Sign in by e-mail, then go on to the page that was asked for.

    With `?back=1`, sign-in was opened from a page whose session had ended, and says to go back
    there.
    """

    form_class = SignInForm  # type: ignore[assignment]  # counts attempts, unlike Django's own
    template_name = "people/sign_in.html"
    http_method_names = ("get", "head", "post")

    def get(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        """The form, or who is signed in already."""
        if request.user.is_authenticated:
            return render(request, "people/signed_in.html", {"back": "back" in request.GET})
        answer: HttpResponse = super().get(request, *args, **kwargs)
        return answer

    def form_valid(self, form: Any) -> HttpResponse:
        """Sign in, or ask for the one-time code first."""
        answer: HttpResponse = perform_login(
            self.request, form.person, redirect_url=self.get_success_url()
        )
        return answer

    def form_invalid(self, form: Any) -> HttpResponse:
        """The form again; 429 after too many wrong passwords."""
        answer: HttpResponse = super().form_invalid(form)
        return _too_many(form, answer)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Adds the boxes at fault, for the summary at the top, and the firm."""
        context: dict[str, Any] = super().get_context_data(**kwargs)
        context["faults"] = [each for each in faults_of(context["form"]) if each["target"]]
        context["firm"] = Firm.objects.only("name", "logo_digest").first()
        return context

    def get_default_redirect_url(self) -> str:
        """The work list, or the note that says to go back to the other window."""
        if "back" in self.request.GET:
            return f"{reverse('sign-in')}?back=1"
        return super().get_default_redirect_url()


class SignInCode(AuthenticateView):
    """The second step: a one-time code, or a recovery code."""

    form_class = CodeForm
    template_name = "people/sign_in_code.html"
    http_method_names = ("get", "head", "post")

    def form_invalid(self, form: Any) -> HttpResponse:
        """The form again; 429 after too many wrong codes."""
        return _too_many(form, super().form_invalid(form), "code")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Adds the boxes at fault, for the summary at the top."""
        context: dict[str, Any] = super().get_context_data(**kwargs)
        context["faults"] = faults_of(context["form"])
        return context


def _too_many(form: Any, answer: HttpResponse, box: str = "__all__") -> HttpResponse:
    if form.has_error(box, LOCKED_OUT):
        answer.status_code = 429
        answer["Retry-After"] = str(settings.SIGN_IN_WAIT_MINUTES * 60)
    return answer


@login_not_required
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session. Drafts stay."""
    if request.user.is_authenticated:
        logout(request)
        messages.success(request, "You are signed out.")
    return redirect("sign-in")
