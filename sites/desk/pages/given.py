"""An installer opens what belongs to the cases given to this person, and no other address."""

from collections.abc import Callable
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse

from sites.desk.reading.given import (
    APPLICATION,
    ATTACHMENT,
    CASE,
    CONDITION,
    CONVERSATION,
    DESIGN,
    DISPATCH,
    ENERGY_FILE,
    PACK,
    PREMISES,
    QUESTION,
    RECORD,
    REPLY,
    WORKS_ROW,
    Way,
    is_given,
)
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
    "morning-mail",
    "days",
    "calendar-address",
    "calendar-feed",
    "password-change",
    "account_reauthenticate",
    "mfa_activate_totp",
    "mfa_deactivate_totp",
    "mfa_view_recovery_codes",
    "recovery-codes-new",
    "firm-logo",
    "sheet-row",
    "health",
    "ready",
    "help",
    "help-page",
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


READS = frozenset({"GET", "HEAD"})
WORKS = READS | {"POST"}
GIVEN: dict[str, tuple[Way, frozenset[str]]] = {
    "premises": (PREMISES, READS),
    "premises-double": (PREMISES, frozenset()),
    "designs": (PREMISES, READS),
    "designs-print": (PREMISES, READS),
    "designs-energy-progress": (PREMISES, READS),
    "design-site-file": (DESIGN, READS),
    "design-sheet": (DESIGN, WORKS),
    "design-panel": (DESIGN, WORKS),
    "draft-drop": (DESIGN, WORKS),
    "design-limits": (DESIGN, READS),
    "design-limits-progress": (DESIGN, READS),
    "remedy-years": (DESIGN, READS),
    "case-review": (CASE, READS),
    "case-checks": (CASE, READS),
    "case-explained": (CASE, READS),
    "case-answers": (CASE, READS),
    "case-works": (CASE, READS),
    "case-record": (CASE, READS),
    "record-letter": (CASE, READS),
    "case-swap": (CASE, READS),
    "attachment-add": (CASE, WORKS),
    "question-answer": (QUESTION, WORKS),
    "pack-preview": (APPLICATION, READS),
    "preview-print": (APPLICATION, READS),
    "pack": (PACK, READS),
    "pack-print": (PACK, READS),
    "annex-print": (PACK, READS),
    "notice-print": (PACK, READS),
    "pack-data": (PACK, READS),
    "pack-status": (PACK, READS),
    "attachment": (ATTACHMENT, READS),
    "energy-file": (ENERGY_FILE, READS),
    # What others do; of a case that is not given it answers 404 all the same.
    "events": (PREMISES, READS),
    "events-file": (PREMISES, READS),
    "designs-energy": (PREMISES, frozenset()),
    "designs-energy-ask": (PREMISES, frozenset()),
    "costs": (PREMISES, frozenset()),
    "choice": (PREMISES, frozenset()),
    "design-cost": (DESIGN, frozenset()),
    "design-copy": (DESIGN, frozenset()),
    "design-choose": (DESIGN, frozenset()),
    "design-from-remedy": (DESIGN, frozenset()),
    "design-limits-stop": (DESIGN, frozenset()),
    "design-limits-again": (DESIGN, frozenset()),
    "design-limits-copy": (DESIGN, frozenset()),
    "case-move": (CASE, WORKS),
    "case-commissioned": (CASE, WORKS),
    "case-installer": (CASE, frozenset()),
    "case-owner": (CASE, frozenset()),
    "case-archive": (CASE, frozenset()),
    "case-again": (CASE, frozenset()),
    "verdict": (CASE, frozenset()),
    "question": (CASE, frozenset()),
    "answer-take-back": (REPLY, frozenset()),
    "record-answer": (RECORD, frozenset()),
    "works-days": (WORKS_ROW, frozenset()),
    "answer-accept": (REPLY, frozenset()),
    "answer-paid": (REPLY, frozenset()),
    "condition-met": (CONDITION, frozenset()),
    "attachment-take-out": (ATTACHMENT, frozenset()),
    "case-send": (CASE, frozenset()),
    "case-send-mail": (CASE, frozenset()),
    "case-send-zip": (CASE, frozenset()),
    "case-copy": (CASE, frozenset()),
    "case-calls": (CASE, frozenset()),
    "call-chased": (CONVERSATION, frozenset()),
    "dispatch-again": (DISPATCH, frozenset()),
    "dispatch-end": (DISPATCH, frozenset()),
    "issue": (APPLICATION, frozenset()),
    "send-without": (APPLICATION, frozenset()),
    "pack-print-again": (PACK, frozenset()),
    "pack-rebuild": (PACK, frozenset()),
    "pack-rebuilt": (PACK, frozenset()),
    "pack-recheck": (PACK, frozenset()),
    "pack-erase": (PACK, frozenset()),
}
"""Addresses of a case: what their key is of, and how an installer of the case may ask there."""


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
        says = "Installers work on the cases given to them. This is for others to do."
        if not named:
            raise PermissionDenied(says)
        way, methods = GIVEN.get(name or "", (None, READS))
        key = named.get("key")
        if way is None or not isinstance(key, UUID) or not is_given(person, way, key):
            raise Http404
        if request.method not in methods:
            raise PermissionDenied(says)
