"""The single-line diagram of a pack as SVG, in the pack's own typeface."""

import re

from msgspec import structs

from connections.diagram.drawing import Drawing
from connections.diagram.heading import Heading
from connections.diagram.single_line import draw
from connections.documents.templating import filled
from connections.facts.defaults import known
from connections.facts.site import Site
from connections.facts.supply_number import number_word
from connections.pack.content import Pack
from connections.pack.figures import long_date

_FONT = re.compile(r'(<svg[^>]*? font-family=")[^"]*"')
FAMILY = "Pack Sans"
"""Font family that the style sheet loads; under another name the system would choose the font."""


def heading_of_pack(pack: Pack) -> Heading:
    """The title block of a pack's diagram. Address and supply numbers come from the personal part.

    So the technical part names nobody. Without the personal part these fields are lines to write
    on. Who drew and who checked sign on paper.
    """
    # The title block names the site's reference already.
    own = "" if pack.reference == pack.technical.site.reference else f"{pack.reference}, "
    values = pack.personal.values if pack.personal is not None else {}
    lines = [values.get(key, "") for key in ("premises.address_lines", "premises.postcode")]
    premises = known(pack.technical.site.premises)
    return Heading(
        address=", ".join(part for value in lines for part in value.splitlines() if part),
        import_numbers=tuple(values.get("premises.import_number", "").splitlines()),
        export_numbers=tuple(values.get("premises.export_number", "").splitlines()),
        revision=f"{own}revision {pack.revision}",
        date=long_date(pack.prepared_on),
        number_word=number_word(known(premises.nation) if premises is not None else None),
    )


def pack_drawings(pack: Pack) -> tuple[Drawing, ...]:
    """The sheets of a pack's diagram, drawn from its technical part."""
    return draw(pack.technical.site, heading_of_pack(pack))


def diagram_svgs(site: Site, heading: Heading | None = None) -> tuple[str, ...]:
    """The sheets of the diagram as SVG, drawn from facts and a title block.

    The description replaces each sheet's title, which a PDF takes as text alternative.
    """
    found = []
    for drawing in draw(site, heading):
        described = structs.replace(drawing, title=drawing.description)
        svg = filled("diagram/single_line.svg", {"drawing": described})
        found.append(_FONT.sub(rf'\g<1>{FAMILY}"', svg, count=1))
    return tuple(found)
