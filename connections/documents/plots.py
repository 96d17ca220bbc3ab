"""Plots as SVG for a printed page, in the typeface of a pack."""

from connections.documents.diagrams import FAMILY
from connections.documents.templating import filled
from connections.pack.comparison import Drawn
from connections.plots.chart import Plot


def drawn(plot: Plot, prefix: str, words: str = "") -> Drawn:
    """A plot with the words beneath it; `prefix` must be unique on the page.

    The description replaces the title, which a PDF takes as text alternative.
    """
    svg = filled(
        "plots/plot.svg",
        {"plot": plot, "prefix": prefix, "for_print": True, "typeface": FAMILY},
    )
    return Drawn(plot.title, svg, words)
