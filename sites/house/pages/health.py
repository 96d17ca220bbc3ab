"""Whether the application works, for monitoring."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from sites.house.reading.health import health_in_time


@login_not_required
@never_cache
@require_safe
def health(_request: HttpRequest) -> HttpResponse:
    """Plain text, 200 or 503. Says nothing about anybody or any site."""
    state = health_in_time()
    return HttpResponse(
        "\n".join(state.lines) + "\n",
        status=200 if state.well else 503,
        content_type="text/plain; charset=utf-8",
    )
