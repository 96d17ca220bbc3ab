"""Which of the rulebook's caps on export are those of a site's place."""

from connections.facts.defaults import known
from connections.facts.place import folded_feeder, sector_of
from connections.facts.site import Premises, Site
from connections.rulebook.book import ExportCap, Rulebook


def place_of(site: Site) -> tuple[str, str]:
    """Feeder, as it is compared, and postcode sector of a site; empty where not known."""
    premises = site.premises
    if not isinstance(premises, Premises):
        return "", ""
    return (
        folded_feeder(known(premises.feeder) or ""),
        sector_of(known(premises.postcode) or "") or "",
    )


def where_capped(cap: ExportCap, feeder: str, sector: str) -> str:
    """By what a cap is one of the place: "feeder", "sector" or "everywhere"; else nothing."""
    if cap.everywhere:
        return "everywhere"
    if feeder and any(folded_feeder(name) == feeder for name in cap.feeders):
        return "feeder"
    return "sector" if sector and sector in cap.postcode_sectors else ""


def caps_at(site: Site, book: Rulebook) -> tuple[ExportCap, ...]:
    """The caps that hold for a site, as far as its place is known."""
    if not book.caps:
        return ()
    feeder, sector = place_of(site)
    return tuple(cap for cap in book.caps if where_capped(cap, feeder, sector))
