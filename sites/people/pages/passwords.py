"""Choosing a password: after an invitation, after forgetting one, and in place of one."""

from typing import Any

from allauth.core import ratelimit
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import INTERNAL_RESET_SESSION_TOKEN, PasswordResetConfirmView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from sites.people.fetching import person_of
from sites.people.forms import ChangePasswordForm, ForgottenForm, NewPasswordForm
from sites.people.mailing import send_mail_to
from sites.people.models import Person
from sites.people.pages.boxes import add_fault, faults_of, password_link
from sites.people.words import FORGOTTEN
from sites.people.writing import PersonRefused, set_password


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """Send a link to choose a new password. The answer never says whether the address is known."""
    form = ForgottenForm(request.POST or None)
    sent = False
    if settings.MAIL_IS_SET_UP and request.method == "POST" and form.is_valid():
        email = form.cleaned_data["email"].strip().lower()
        if not ratelimit.consume(request, action="reset_password", key=email):
            form.add_error(None, "Too many mails were asked for. Wait a quarter of an hour.")
            return _forgotten(request, form, status=429)
        person = Person.objects.filter(email=email, is_active=True).first()
        if person is not None:
            link = password_link(request, person)
            text = FORGOTTEN.format(name=person, link=link)
            send_mail_to(email, subject="Choose a new password for Meterside", text=text)
        sent = True
    return _forgotten(request, form, sent=sent)


def _forgotten(
    request: HttpRequest, form: ForgottenForm, *, sent: bool = False, status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "faults": faults_of(form) if form.is_bound else [],
        "sent": sent,
        "by_mail": settings.MAIL_IS_SET_UP,
    }
    return render(request, "people/forgotten.html", context, status=status)


class PasswordSet(PasswordResetConfirmView):
    """Choose a password by a link, which works once and for three days."""

    form_class = NewPasswordForm  # type: ignore[assignment]  # kept by an act, not by the form
    template_name = "people/password_set.html"
    http_method_names = ("get", "head", "post")

    def get_user(self, uidb64: str) -> Person | None:
        """The person of the link; nobody whose access has ended."""
        found = super().get_user(uidb64)
        return found if isinstance(found, Person) and found.is_active else None

    def form_valid(self, form: Any) -> HttpResponse:
        """Keep the password, then lead to sign-in."""
        try:
            set_password(person=form.user, password=form.cleaned_data["new_password1"])
        except PersonRefused as fault:
            add_fault(form, fault.field, str(fault))
            again: HttpResponse = self.form_invalid(form)
            return again
        self.request.session.pop(INTERNAL_RESET_SESSION_TOKEN, None)
        messages.success(self.request, "Your password is kept. Sign in with it.")
        return redirect("sign-in")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Adds the boxes at fault, for the summary at the top."""
        context: dict[str, Any] = super().get_context_data(**kwargs)
        if context.get("form"):
            context["faults"] = faults_of(context["form"])
        return context


@require_http_methods(["GET", "HEAD", "POST"])
def change_password(request: HttpRequest) -> HttpResponse:
    """Put a new password in place of the present one; every other session ends."""
    person = person_of(request)
    form = ChangePasswordForm(person, request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            kept = set_password(person=person, password=form.cleaned_data["new_password1"])
        except PersonRefused as fault:
            add_fault(form, fault.field, str(fault))
        else:
            update_session_auth_hash(request, kept)
            messages.success(request, "Your new password is kept. Other sessions have ended.")
            return redirect("account")
    context = {"form": form, "faults": faults_of(form) if form.is_bound else []}
    return render(
        request, "people/password_change.html", context, status=422 if form.errors else 200
    )
