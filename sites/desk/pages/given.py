"""An installer opens what belongs to the cases given to him, and no other address."""

from collections.abc import Callable

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse

from sites.people.models import Person

OPEN = {
    "work-list",
    "sign-in",
    "account_login",
    "mfa_authenticate",
    "password-forgotten",
    "password-set",
    "sign-out",
    "account",
    "password-change",
    "account_reauthenticate",
    "mfa_activate_totp",
    "mfa_deactivate_totp",
    "mfa_view_recovery_codes",
    "recovery-codes-new",
    "firm-logo",
    "health",
    "fresh-token",
    "equipment",
    "quick-look",
    "rulebook",
    "rulebook-values",
    "rulebook-value",
    "rulebook-table",
    "rulebook-steps",
    "rulebook-settings",
    "rulebook-sources",
    "rulebook-words",
    "rulebook-difference",
}
"""Addresses that an installer may open though they belong to no case."""


class GivenOnly:
    """Refuses an installer every address that is not named here: nothing new is open by chance.

    What belongs to somebody else's case answers 404, as if it did not exist.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer as without it; the view is looked at in `process_view`."""
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        _view: Callable[..., HttpResponse],
        _args: tuple[object, ...],
        named: dict[str, object],
    ) -> None:
        """Raises Http404 or PermissionDenied for what the installer may not open."""
        person = request.user
        if not isinstance(person, Person) or not person.is_installer:
            return
        name = request.resolver_match.url_name if request.resolver_match else None
        if name in OPEN:
            return
        if named:
            raise Http404
        raise PermissionDenied("An installer works on the cases given to him, and on nothing else.")
