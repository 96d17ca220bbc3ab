"""Refuse posts larger than any form of ours, before they are read in."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

SLACK_BYTES = 200_000


class PostSize:
    """Answers 413 to a post larger than a form may be.

    Views that take a file check the size themselves (`sites.house.pages.uploading`). They are known
    by their exemption from the token check, which they do after that. This middleware stands before
    the token check, since looking for the token reads a post in.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass on; `process_view` checks the size once the view is known."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., object], _args: object, _kwargs: object
    ) -> HttpResponse | None:
        """The refusal, or None to go on."""
        if getattr(view, "csrf_exempt", False) or not request.META.get("CONTENT_LENGTH"):
            return None
        try:
            size = int(request.META["CONTENT_LENGTH"])
        except ValueError:
            return HttpResponse(status=400)
        if size <= settings.DATA_UPLOAD_MAX_MEMORY_SIZE + SLACK_BYTES:
            return None
        return render(request, "house/errors/413.html", status=413)
