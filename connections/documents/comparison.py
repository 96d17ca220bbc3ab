"""The customer's comparison of designs as a PDF of one page."""

from connections.documents.fonts import printed_text
from connections.documents.printing import print_html
from connections.documents.templating import filled
from connections.pack.comparison import Comparison
from connections.pack.figures import long_date


def render_comparison(comparison: Comparison) -> bytes:
    """The PDF. Raises PrintError where it can't be printed."""
    return print_html(comparison_html(comparison), (), comparison.prepared_on)


def comparison_html(comparison: Comparison) -> str:
    """The page as HTML. All text is escaped except our own plots."""
    context = {
        "page": comparison,
        "prepared_on": long_date(comparison.prepared_on),
        "width": 76 // max(1, len(comparison.designs)),
    }
    return printed_text(filled("comparison/page.html", context))
