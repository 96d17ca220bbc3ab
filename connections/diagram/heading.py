"""The title block: what a sheet says of itself. Nothing in it changes the drawing of the plant."""

from msgspec import Struct

from connections.diagram.lettering import printable
from connections.facts.defaults import known
from connections.facts.site import Premises, Site
from connections.facts.supply_number import SupplyNumberError, number_word, read_core


class Heading(Struct, frozen=True):
    """Values of the title block; an empty one is left as a line to write on.

    `address` and the two lists of supply numbers name a person's home. `import_numbers` is also
    the number of import meters. `revision`, `drawn`, `checked` and `date` are words as printed.
    `number_word` is what a supply number is called there.
    """

    address: str = ""
    import_numbers: tuple[str, ...] = ()
    export_numbers: tuple[str, ...] = ()
    revision: str = ""
    drawn: str = ""
    checked: str = ""
    date: str = ""
    number_word: str = "MPAN"


def heading_of(site: Site) -> Heading:
    """The title block as far as the facts of a site fill it: address and supply numbers."""
    premises = known(site.premises)
    if not isinstance(premises, Premises):
        return Heading()
    lines = [*(known(premises.address_lines) or ()), known(premises.postcode) or ""]
    if not any(lines):
        lines = [known(premises.name) or ""]
    return Heading(
        address=", ".join(line for line in map(printable, lines) if line),
        import_numbers=_numbers(premises, "import"),
        export_numbers=_numbers(premises, "export"),
        number_word=number_word(known(premises.nation)),
    )


def _numbers(premises: Premises, use: str) -> tuple[str, ...]:
    found: list[str] = []
    for number in premises.supply_numbers:
        if number.use == use:
            try:
                found.append(str(read_core(number.value, number.scheme)))
            except SupplyNumberError:
                found.append(printable(number.value))
    return tuple(found)
