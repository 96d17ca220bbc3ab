"""Signing in and out."""

from datetime import timedelta

from axes.helpers import get_cool_off
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from sites.people.forms import SignInForm


class SignIn(LoginView):
    """Sign in by e-mail, then go on to the page that was asked for.

    With `?back=1`, sign-in was opened from a page whose session had ended, and says to go back
    there.
    """

    form_class = SignInForm
    template_name = "people/sign_in.html"
    http_method_names = ("get", "head", "post")

    def get(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        """The form, or who is signed in already."""
        if request.user.is_authenticated:
            return render(request, "people/signed_in.html", {"back": "back" in request.GET})
        answer: HttpResponse = super().get(request, *args, **kwargs)
        return answer

    def get_context_data(self, **kwargs: object) -> dict[str, object]:
        """Adds the boxes at fault, for the summary at the top."""
        context = super().get_context_data(**kwargs)
        context["faults"] = [
            {"target": box.id_for_label, "label": box.label, "message": box.errors[0]}
            for box in context["form"]
            if box.errors
        ]
        return context

    def get_default_redirect_url(self) -> str:
        """The work list, or the note that says to go back to the other window."""
        if "back" in self.request.GET:
            return f"{reverse('sign-in')}?back=1"
        return super().get_default_redirect_url()


def locked_out(
    request: HttpRequest, _answer: HttpResponse | None, _credentials: object = None
) -> HttpResponse:
    """The sign-in page after too many wrong passwords for one address from one machine (429)."""
    wait = get_cool_off(request) or timedelta()
    context = {
        "form": SignInForm(request, initial={"username": request.POST.get("username", "")}),
        "wait_minutes": -(-int(wait.total_seconds()) // 60),
        "next": "",
    }
    answer = render(request, "people/sign_in.html", context, status=429)
    answer["Retry-After"] = str(int(wait.total_seconds()))
    return answer


@login_not_required
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session. Drafts stay."""
    if request.user.is_authenticated:
        logout(request)
        messages.success(request, "You are signed out.")
    return redirect("sign-in")
