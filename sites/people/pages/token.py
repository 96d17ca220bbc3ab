"""A fresh token for a page that stayed open while its session ended."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from sites.house.pages.sending_again import SAYS
from sites.people.models import Person


@login_not_required
@never_cache
@require_GET
def fresh_token(request: HttpRequest) -> HttpResponse:
    """The token as text, with its person in a header; 401 without a signed-in person.

    Nobody else can read it: a browser gives no answer of ours to a page from elsewhere.
    """
    if not isinstance(request.user, Person):
        return HttpResponse(SAYS, status=401, content_type="text/plain; charset=utf-8")
    answer = HttpResponse(get_token(request), content_type="text/plain; charset=utf-8")
    answer["Meterside-Person"] = str(request.user.key)
    return answer
