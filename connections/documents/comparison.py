"""The customer's comparison of designs as a PDF of one page."""

from msgspec import structs

from connections.documents.fonts import printed_text
from connections.documents.print_error import TooLongError
from connections.documents.printing import print_html
from connections.documents.templating import filled
from connections.pack.comparison import Comparison
from connections.pack.figures import long_date

_DENSITIES = ("roomy", "", "dense", "dense tight")
"""Classes of the page, from the one with most room: two for two designs, then for three, four."""
_FIRST = {3: 2, 4: 3}
"""Where to begin, by the number of designs."""


def render_comparison(comparison: Comparison) -> bytes:
    """The PDF, set as tight as one page needs; the plots give way last.

    Raises PrintError where it can't be printed.
    """
    for density in _DENSITIES[_FIRST.get(len(comparison.designs), 0) :]:
        try:
            html = comparison_html(comparison, density)
            return print_html(html, (), comparison.prepared_on, most_pages=1)
        except TooLongError:
            continue
    plain = structs.replace(comparison, plots=(), plotted="")
    return print_html(comparison_html(plain, _DENSITIES[-1]), (), comparison.prepared_on)


def comparison_html(comparison: Comparison, density: str = "") -> str:
    """The page as HTML. All text is escaped except our own plots."""
    context = {
        "page": comparison,
        "density": density,
        "prepared_on": long_date(comparison.prepared_on),
        "width": 76 // max(1, len(comparison.designs)),
    }
    return printed_text(filled("comparison/page.html", context))
