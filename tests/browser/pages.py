"""Every page of the application, by the name of its address, and what has no page of its own."""

from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

PAGES: dict[str, str] = {
    "work-list": "",
    "sign-in": "",
    "days": "",
    "premises-new": "",
    "premises-import": "",
    "review-list": "",
    "values-to-read": "",
    "screenings": "",
    "screening": "screening",
    "equipment": "",
    "quick-look": "",
    "prices": "",
    "costs": "premises",
    "design-cost": "design",
    "equipment-new": "",
    "equipment-one": "equipment",
    "equipment-take-out": "equipment",
    "events": "premises",
    "premises": "premises",
    "design-limits": "design",
    "design-sheet": "design",
    "designs": "premises",
    "case-review": "case",
    "case-checks": "case",
    "case-answers": "case",
    "case-works": "case",
    "case-commissioned": "case",
    "case-installer": "case",
    "case-send": "case",
    "dispatch-end": "dispatch",
    "pack-preview": "application",
    "pack": "pack",
    "pack-recheck": "pack",
    "pack-rebuilt": "pack task",
    "pack-erase": "pack",
}
"""The pages, and of what their address holds the key."""
NO_PAGES = {
    "health": "plain text",
    "ready": "plain text",
    "fresh-token": "plain text",
    "pack-status": "part of a page",
    "screening-progress": "part of a page",
    "sheet-row": "part of a page",
    "design-site-file": "a file to save",
    "designs-print": "a PDF",
    "designs-energy": "an act",
    "quick-look-keep": "an act",
    "choice": "an act",
    "price-new": "a page that tests/browser/test_quick_look.py opens at both sizes",
    "price-end": "a form of one box, like price-new",
    "vat-new": "a form like price-new",
    "vat-end": "a form of one box, like price-new",
    "designs-energy-ask": "an act",
    "designs-energy-progress": "part of a page",
    "remedy-years": "part of a page",
    "energy-file": "a file to save",
    "design-limits-progress": "part of a page",
    "design-limits-stop": "an act",
    "design-limits-again": "an act",
    "design-limits-copy": "an act",
    "preview-print": "a PDF",
    "pack-print": "a PDF",
    "pack-data": "JSON",
    "annex-print": "a PDF",
    "notice-print": "a PDF",
    "attachment": "a file to save",
    "send-without": "an act",
    "case-send-mail": "an act, whose page tests/sites/sending looks at",
    "case-send-zip": "a file to save",
    "dispatch-again": "an act",
    "case-move": "an act",
    "case-owner": "an act",
    "case-archive": "an act",
    "case-again": "an act",
    "sign-out": "an act",
    "morning-mail": "an act",
    "calendar-address": "an act",
    "calendar-feed": "a file for other programs",
    "premises-double": "an act",
    "account_login": "the page of sign-in by its other name",
    "password-forgotten": "a page that tests/sites/people looks at",
    "account": "a page that tests/sites/people looks at",
    "password-change": "a page that tests/sites/people looks at",
    "mfa_activate_totp": "a page that tests/sites/people looks at",
    "person-hand-over": "a page that tests/sites/people looks at",
    "people": "a page that tests/sites/people looks at",
    "person-invite": "a page that tests/sites/people looks at",
    "firm": "a page that tests/sites/people looks at",
    "person": "a page that tests/sites/people looks at",
    "mfa_authenticate": "a page that tests/sites/people looks at",
    "password-set": "a page that tests/sites/people looks at",
    "account_reauthenticate": "a page that tests/sites/people looks at",
    "mfa_deactivate_totp": "a page that tests/sites/people looks at",
    "mfa_view_recovery_codes": "a page that tests/sites/people looks at",
    "recovery-codes-new": "a page that tests/sites/people looks at",
    "firm-logo": "a picture",
    "person-roles": "an act",
    "person-end": "an act",
    "person-link": "an act",
    "person-forget-code": "an act",
    "new-panel": "an act",
    "new-draft-drop": "an act",
    "design-panel": "an act",
    "draft-drop": "an act",
    "design-copy": "an act",
    "design-choose": "an act",
    "design-from-remedy": "an act",
    "answer-take-back": "an act",
    "answer-accept": "an act",
    "works-days": "an act",
    "answer-paid": "an act",
    "condition-met": "an act",
    "reading-take-back": "an act",
    "local-download": "a file to save",
    "rulebook": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-values": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-value": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-table": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-steps": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-settings": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-words": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-sources": "a page that tests/web/rulebook opens in the browser at both sizes",
    "rulebook-difference": "a page that tests/web/rulebook opens in the browser at both sizes",
    "case-explained": "a page that tests/web/rulebook opens in the browser at both sizes",
    "local-list": "a page that tests/web/local opens in the browser at both sizes",
    "local-choose": "a page that tests/web/local opens in the browser at both sizes",
    "local-new-value": "a page that tests/web/local opens in the browser at both sizes",
    "local-new-cap": "a page that tests/web/local opens in the browser at both sizes",
    "local-new-condition": "a page that tests/web/local opens in the browser at both sizes",
    "local-load": "a page that tests/web/local opens in the browser at both sizes",
    "local-entry": "a page that tests/web/local opens in the browser at both sizes",
    "local-end": "a page that tests/web/local opens in the browser at both sizes",
    "cases-assign": "an act",
    "view-save": "an act",
    "view-delete": "an act",
    "verdict": "an act",
    "question": "an act",
    "question-answer": "an act",
    "issue": "an act",
    "pack-print-again": "an act",
    "pack-rebuild": "an act",
    "attachment-add": "an act",
    "attachment-take-out": "an act",
    "screening-rest": "an act",
    "screening-looked": "an act",
    "screening-all-looked": "an act",
}
"""Every other address: what it is, or which tests look at it instead."""


def names_of_addresses(patterns: list[Any] | None = None) -> Iterator[str]:
    """The name of every address of the URLconf."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            yield from names_of_addresses(pattern.url_patterns)
        elif isinstance(pattern, URLPattern):
            yield pattern.name or str(pattern.pattern)


def addresses(keys: dict[str, Any]) -> list[str]:
    """The address of every page whose keys are given."""
    return [
        reverse(name, args=[keys[of] for of in wanted.split()])
        for name, wanted in PAGES.items()
        if all(of in keys for of in wanted.split())
    ]


def keys_of(case: Any, **more: Any) -> dict[str, Any]:
    """What the pages of a case take: the keys of its premises, design, application and itself."""
    return {
        "premises": case.premises.key,
        "design": case.design.key,
        "case": case.key,
        "application": case.application.key,
        **more,
    }
