"""What went wrong in a browser while a test was about something else."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

# Runs in every page before anything of ours.
REPORTER = """
document.addEventListener("securitypolicyviolation", (event) => console.error(
  `Content-Security-Policy: ${event.violatedDirective} stopped ${event.blockedURI} `
  + `(${event.sourceFile}:${event.lineNumber}) ${event.sample}`));
"""

# What chromium and htmx write to the console about an answer whose code is looked at here anyway.
# A test that cuts the network says so, and means it.
_CUT = "net::ERR_INTERNET_DISCONNECTED"
_EXPECTED = (
    "Failed to load resource: the server responded",
    "Response Status Error Code",
    f"Failed to load resource: {_CUT}",
    "htmx:sendError",
    "htmx:afterRequest",
)


class Watch:
    """Everything that a browser complains of: its console, scripts that fail, dialogs, what the
    policy on content stops, requests that fail, and answers of 400 and above.

    Codes that belong to what a test is about are announced with `answers`.
    """

    def __init__(self) -> None:
        self.faults: list[str] = []
        self._expected: list[int] = []

    @contextmanager
    def answers(self, *codes: int) -> Iterator[None]:
        """While this holds, answers with these codes are no fault."""
        self._expected.extend(codes)
        yield
        for code in codes:
            self._expected.remove(code)

    def look_at(self, context: Any) -> None:
        """Watch every page of a browser context, those that open later too."""
        context.add_init_script(REPORTER)
        context.on("page", self._look_at_page)
        context.on("requestfailed", self._failed)
        context.on("response", self._answered)

    def _look_at_page(self, page: Any) -> None:
        page.on("pageerror", lambda fault: self.faults.append(f"{page.url}: {fault}"))
        page.on("console", lambda said: self._said(page, said))
        page.on("dialog", self._asked)

    def _said(self, page: Any, said: Any) -> None:
        if said.type in {"error", "warning"} and not said.text.startswith(_EXPECTED):
            self.faults.append(f"{page.url}: {said.text}")

    def _asked(self, dialog: Any) -> None:
        self.faults.append(f"A dialog of kind {dialog.type}: {dialog.message}")
        dialog.dismiss()

    def _failed(self, request: Any) -> None:
        # Leaving a page ends what it was still fetching, and a download ends the opening of a page.
        if request.failure not in {"net::ERR_ABORTED", _CUT}:
            self.faults.append(f"{request.method} {request.url}: {request.failure}")

    def _answered(self, answer: Any) -> None:
        if answer.status >= 400 and answer.status not in self._expected:
            self.faults.append(f"{answer.request.method} {answer.url}: answered {answer.status}")
