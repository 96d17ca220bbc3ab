"""Correct a PDF that WeasyPrint has laid out, before it is written."""

from typing import Any

from connections.documents.tagging import set_scopes


def finish(document: Any, pdf: Any) -> None:
    """Set scopes of table heads and list each embedded file once; WeasyPrint's `finisher`."""
    set_scopes(document, pdf)
    _list_files_once(pdf)


def _list_files_once(pdf: Any) -> None:
    # WeasyPrint 70 lists an embedded file of PDF/A-3 among the associated files twice.
    if "AF" in pdf.catalog:
        files = pdf.catalog["AF"]
        files[:] = list(dict.fromkeys(files))
