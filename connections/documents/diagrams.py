"""The single-line diagram of a pack as SVG, in the pack's own typeface."""

import re

from msgspec import structs

from connections.diagram.single_line import draw
from connections.facts.site import Site

_FONT = re.compile(r'(<svg[^>]*? font-family=")[^"]*"')
FAMILY = "Pack Sans"
"""Font family that the style sheet loads; under another name the system would choose the font."""


def diagram_svgs(site: Site) -> tuple[str, ...]:
    """The sheets of the diagram as SVG, drawn from facts alone.

    The description replaces each sheet's title, which a PDF takes as text alternative.
    """
    from django.template.loader import render_to_string

    found = []
    for number, drawing in enumerate(draw(site), start=1):
        described = structs.replace(drawing, title=drawing.description)
        svg = render_to_string(
            "diagram/single_line.svg", {"drawing": described, "prefix": f"sld-{number}"}
        )
        found.append(_FONT.sub(rf'\g<1>{FAMILY}"', str(svg), count=1))
    return tuple(found)
