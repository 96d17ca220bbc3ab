"""Set the scopes of table heads, which WeasyPrint 70 leaves out of the tags.

In a PDF, the Scope of a table head says whether it serves a column or a row. WeasyPrint writes only
ids and lists of heads. This module uses private attributes of WeasyPrint (`Page._page_box`,
`box.mark`), so the version is pinned and a test checks the result.
"""

from typing import Any

_SCOPES = {"col": "/Column", "row": "/Row", "colgroup": "/Column", "rowgroup": "/Row"}


def set_scopes(document: Any, pdf: Any) -> None:
    """Give every tagged table head the scope of its element."""
    for page in document.pages:
        for box in page._page_box.descendants():
            element = getattr(box, "element", None)
            mark = getattr(box, "mark", None)
            if element is None or not mark or box.element_tag != "th":
                continue
            scope = element.get("scope")
            if scope in _SCOPES and "A" in mark:
                mark["A"]["Scope"] = _SCOPES[scope]
