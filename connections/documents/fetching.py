"""Restrict a print to the project's own assets, served from memory by the scheme `pack:`.

Anything else (a file, a web address, data in the page) fails the print. WeasyPrint's own fetcher
would read any file that the page names.
"""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from connections.documents.fonts import font_files

if TYPE_CHECKING:
    from weasyprint.urls import URLFetcher

SCHEME = "pack"
PRINT = Path(__file__).with_name("styles")

_TYPES = {".css": "text/css", ".ttf": "font/ttf", ".svg": "image/svg+xml"}


@cache
def assets() -> Mapping[str, bytes]:
    """Everything that a print may load, by address ("pack:fonts/DejaVuSans.ttf").

    Raises PrintError if a font is missing or unknown.
    """
    found = {f"{SCHEME}:fonts/{name}": content for name, content in font_files().items()}
    for path in sorted(PRINT.iterdir()):
        found[f"{SCHEME}:{path.name}"] = path.read_bytes()
    return found


def pack_fetcher(served: Mapping[str, bytes]) -> "URLFetcher":
    """A fetcher that serves these assets and fails the print for any other address."""
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class PackFetcher(URLFetcher):  # type: ignore[misc]
        """Serves `pack:` addresses from memory."""

        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
            """The asset at `url`; raises FatalURLFetchingError for any other address."""
            content = served.get(url)
            if content is None:
                raise FatalURLFetchingError(f"a pack loads nothing from {url[:200]}")
            kind = _TYPES.get(Path(url).suffix, "application/octet-stream")
            return URLFetcherResponse(url, body=content, headers={"Content-Type": kind})

    return PackFetcher(allowed_protocols=(SCHEME,), fail_on_errors=True)
