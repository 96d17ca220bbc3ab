"""The log: one line of JSON for each entry, with the id of the request that it belongs to."""

import json
import logging
import secrets
import traceback
from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest, HttpResponse

_request: ContextVar[str] = ContextVar("request", default="")
_REFUSED = "django.security"
"""Loggers of requests that were refused as asked: whoever sends them gets no traceback logged."""


class RequestId:
    """Gives each request an id of ours, in the log and in the head `Request-Id` of its answer."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request under its id."""
        # Left in place: the server logs answers of 500 and above after it has left us.
        _request.set(secrets.token_hex(8))
        answer = self.get_response(request)
        answer["Request-Id"] = _request.get()
        return answer


class JsonLines(logging.Formatter):
    """Formats an entry as JSON: at, level, logger, says, request, and trace where there is one."""

    def format(self, record: logging.LogRecord) -> str:
        """One line; what was sent can't begin another one."""
        entry = {
            "at": self.formatTime(record, "%Y-%m-%dT%H:%M:%S%z"),
            "level": record.levelname,
            "logger": record.name,
            "says": record.getMessage(),
            "request": _request.get(),
        }
        if record.exc_info and not record.name.startswith(_REFUSED):
            entry["trace"] = "".join(traceback.format_exception(*record.exc_info))
        return json.dumps(entry, ensure_ascii=True)
