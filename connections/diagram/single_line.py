"""The single-line diagram of a site: facts in, sheets of placed symbols and lines out.

Symbols are our own drawings after IEC 60617, from memory. Common practice, no source: the order of
supply, cut-out, meter, main switch and boards; the parts of plant that can run as an island; the
fields of the title block. What the facts do not state is drawn as not known, or said to be.
"""

from connections.diagram.circuits.gather import circuit
from connections.diagram.drawing import Drawing
from connections.diagram.heading import Heading, heading_of
from connections.diagram.sheets.dividing import Sheets
from connections.facts.site import Site


def draw(site: Site, heading: Heading | None = None) -> tuple[Drawing, ...]:
    """The sheets of a site's single-line diagram, at least one.

    Args:
        site: the facts.
        heading: the title block; left out, what the facts of the premises say.

    Deterministic: the same site and heading give equal drawings. Coordinates are whole drawing
    units, four to a millimetre at a printed width of 180 mm (`connections.diagram.drawing`).
    """
    said = heading_of(site) if heading is None else heading
    return Sheets(circuit(site, import_meters=max(len(said.import_numbers), 1)), said).drawings()
