"""Every page but sign-in, health and static needs a signed-in person."""

from collections.abc import Callable

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import add_never_cache_headers

from sites.house.pages.sending_again import SAYS, ask_to_send_again


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
