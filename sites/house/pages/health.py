"""Whether the application works, for monitoring."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from sites.house.reading.health import Health, health_of_all, in_time, readiness


@login_not_required
@never_cache
@require_safe
def health(_request: HttpRequest) -> HttpResponse:
    """Whether somebody must look: plain text, 200 or 503. Says nothing about anybody."""
    return _told(in_time(health_of_all))


@login_not_required
@never_cache
@require_safe
def ready(_request: HttpRequest) -> HttpResponse:
    """Whether requests may come here: plain text, 200 or 503."""
    return _told(in_time(readiness))


def _told(state: Health) -> HttpResponse:
    return HttpResponse(
        "\n".join(state.lines) + "\n",
        status=200 if state.well else 503,
        content_type="text/plain; charset=utf-8",
    )
