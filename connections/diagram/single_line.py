"""The single-line diagram of a site: facts in, sheets of placed symbols and lines out.

Symbols are our own drawings after IEC 60617. Common practice, no source: the order of supply,
cut-out, meter, main switch and boards, the lockable isolator at each unit, and the DC isolator at
panels and cells. A rating stands beside them only where the facts have one.
"""

from connections.diagram.circuits.gather import circuit
from connections.diagram.drawing import Drawing
from connections.diagram.sheets.dividing import Sheets
from connections.facts.site import Site


def draw(site: Site) -> tuple[Drawing, ...]:
    """The sheets of a site's single-line diagram, at least one.

    Deterministic: the same site gives equal drawings. Coordinates are whole drawing units, four
    to a millimetre at a printed width of 180 mm (`connections.diagram.drawing`).
    """
    return Sheets(circuit(site)).drawings()
