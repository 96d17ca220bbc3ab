"""Every remedy for a site, quickest procedure first."""

from connections.facts.decision import Remedy
from connections.facts.site import Site
from connections.remedies.export_limit import export_limits
from connections.remedies.shared_inverter import shared_inverters
from connections.rulebook.book import Rulebook
from connections.rules.decide import UNDETERMINED, Decided


def remedies_for(site: Site, decided: Decided, book: Rulebook) -> tuple[Remedy, ...]:
    """The remedies that the rules prove, ordered by the procedure they reach.

    None are looked for while the procedure is undetermined: the missing facts come first.
    """
    if decided.procedure == UNDETERMINED:
        return ()
    found = [*export_limits(site, decided, book), *shared_inverters(site, decided, book)]
    order = decided.case.ready.order
    return tuple(sorted(found, key=lambda remedy: order[remedy.procedure]))
