"""Pages for refused requests, missing pages and errors."""

from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.cache import add_never_cache_headers

from sites.house.pages.sending_again import ask_to_send_again


def token_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 for a form with a missing or old token, mostly after a sign-in in another window.

    Typed values are given back only to forms of our own pages: anybody could make a form elsewhere,
    and a fresh token would make it ours.
    """
    if _by_htmx(request):
        answer = _plain("The page was open for too long. Open it again.", 403)
        answer["Meterside-Refused"] = "token"
    elif _from_our_own_page(request) and "password" not in request.POST:
        answer = ask_to_send_again(request, status=403)
    else:
        answer = render(request, "house/errors/token_refused.html", status=403)
    add_never_cache_headers(answer)
    return answer


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400: more boxes or bytes than a page of ours sends, or an address that is none of ours."""
    says = (
        "That was more than a page of Meterside sends, or not in a form that it can read. "
        "Nothing was changed."
    )
    if _by_htmx(request):
        return _plain(says, 400)
    # Use no database: the broken request may affect more than this page.
    return HttpResponse(render_to_string("house/errors/400.html", {"says": says}), status=400)


def refused(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403: a signed-in person without the role that this needs."""
    says = str(exception) or "Your role does not let you do this."
    if _by_htmx(request):
        return _plain(says, 403)
    return render(request, "house/errors/403.html", {"says": says}, status=403)


def not_there(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: no such page, or no such row."""
    if _by_htmx(request):
        return _plain("This is not there any more. Open the work list to find what is.", 404)
    return render(request, "house/errors/404.html", status=404)


def went_wrong(request: HttpRequest) -> HttpResponse:
    """500. The page is made without the request, since the database may be what went wrong."""
    return HttpResponse(render_to_string("house/errors/500.html"), status=500)


def _by_htmx(request: HttpRequest) -> bool:
    return request.headers.get("HX-Request") == "true"


def _plain(says: str, status: int) -> HttpResponse:
    return HttpResponse(says, status=status, content_type="text/plain; charset=utf-8")


def _from_our_own_page(request: HttpRequest) -> bool:
    origin = urlsplit(request.headers.get("Origin", ""))
    return origin.scheme == request.scheme and origin.netloc == request.get_host()
