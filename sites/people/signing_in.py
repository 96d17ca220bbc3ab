"""Every page but sign-in, health and static needs a signed-in person, and no copy of it is kept."""

from collections.abc import Callable

from allauth.mfa.models import Authenticator
from allauth.mfa.utils import is_mfa_enabled
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils.cache import add_never_cache_headers

from sites.house.pages.sending_again import SAYS, ask_to_send_again
from sites.people.models import Firm, Person

# What somebody may still open who must first set up a one-time code.
BEFORE_A_CODE = {
    "mfa_activate_totp",
    "mfa_view_recovery_codes",
    "account_reauthenticate",
    "sign-out",
    "fresh-token",
    "firm-logo",
}


class SignInRequired(LoginRequiredMiddleware):
    """Asks for sign-in, each kind of request in its own way.

    Opening a page leads to sign-in, which comes back to the page. A request by htmx gets 401, and
    its page stays and says what to do. A sent form gets a page with all its content, to be sent
    again after sign-in. A view marked `login_not_required` is open to all.
    """

    def handle_no_permission(  # type: ignore[override]  # not always a redirect
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponse:
        """The answer to somebody who is not signed in."""
        if request.headers.get("HX-Request") == "true":
            answer = HttpResponse(SAYS, status=401, content_type="text/plain; charset=utf-8")
            answer["HX-Trigger"] = "signed-out"
        elif request.method in {"GET", "HEAD"}:
            sent: HttpResponse = super().handle_no_permission(request, view_func)
            return sent
        else:
            answer = ask_to_send_again(request, status=401)
        add_never_cache_headers(answer)
        return answer


class NeverStored:
    """Has no browser or proxy keep a copy of what stands behind sign-in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """The answer, marked `no-store` unless its view is open to all."""
        answer = self.get_response(request)
        # An open page asks for no person: health must answer without a database.
        match = request.resolver_match
        if match is None or getattr(match.func, "login_required", True):
            add_never_cache_headers(answer)
        return answer


class CodeRequired:
    """Leads whoever lacks a one-time code to set it up, where the firm requires one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer as without it; the view is looked at in `process_view`."""
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponseBase],
        _args: tuple[object, ...],
        _named: dict[str, object],
    ) -> HttpResponseBase | None:
        """The way to the page that sets it up; PermissionDenied for anything else than a page."""
        if not getattr(view, "login_required", True):
            return None
        match = request.resolver_match
        if match is None or match.url_name in BEFORE_A_CODE:
            return None
        person = request.user
        if not isinstance(person, Person) or not Firm.objects.filter(requires_code=True).exists():
            return None
        if is_mfa_enabled(person, [Authenticator.Type.TOTP]):
            return None
        if request.method in {"GET", "HEAD"} and "HX-Request" not in request.headers:
            return redirect("mfa_activate_totp")
        raise PermissionDenied("Your firm requires a one-time code. Set it up first.")
