"""Find the rulebook's caps on export for a site's place.

Indexes the caps of a rulebook once, so that looking a site up is fast.
"""

from collections import defaultdict

from msgspec import Struct

from connections.electrical.phase_sums import SCALE_PER_W, scaled_current, scaled_power
from connections.facts.defaults import known
from connections.facts.place import folded_feeder, sector_of
from connections.facts.site import Premises, Site
from connections.rulebook.book import ExportCap, Rulebook


class ReadyCap(Struct, frozen=True):
    """A cap with its limit, and one of its own units, both in scaled units."""

    cap: ExportCap
    limit: int
    step: int


class Caps(Struct, frozen=True):
    """The caps of a rulebook by feeder (in compared form), by postcode sector, and for every site.

    `of_feeders` and `of_sectors` are all that name one, lowest first.
    """

    by_feeder: dict[str, tuple[ReadyCap, ...]]
    by_sector: dict[str, tuple[ReadyCap, ...]]
    everywhere: tuple[ReadyCap, ...]
    of_feeders: tuple[ReadyCap, ...]
    of_sectors: tuple[ReadyCap, ...]

    def at(self, feeder: str, sector: str) -> list[tuple[str, ReadyCap]]:
        """The caps of a place, each with the reason: "feeder", "sector" or "everywhere"."""
        found = [("everywhere", each) for each in self.everywhere]
        found += [("feeder", each) for each in self.by_feeder.get(feeder, ())]
        there = {each.cap.id for _, each in found}
        found += [
            ("sector", each) for each in self.by_sector.get(sector, ()) if each.cap.id not in there
        ]
        return sorted(found, key=lambda one: one[1].cap.id)


def caps_in_order(book: Rulebook, nominal_mv: int) -> Caps | None:
    """Index the caps of a rulebook; None if it has none."""
    if not book.caps:
        return None
    feeders: dict[str, list[ReadyCap]] = defaultdict(list)
    sectors: dict[str, list[ReadyCap]] = defaultdict(list)
    ready = sorted((_ready(cap, nominal_mv) for cap in book.caps), key=lambda each: each.limit)
    for each in ready:
        for name in {folded_feeder(name) for name in each.cap.feeders}:
            feeders[name].append(each)
        for sector in each.cap.postcode_sectors:
            sectors[sector].append(each)
    return Caps(
        by_feeder={name: tuple(caps) for name, caps in feeders.items()},
        by_sector={name: tuple(caps) for name, caps in sectors.items()},
        everywhere=tuple(each for each in ready if each.cap.everywhere),
        of_feeders=tuple(each for each in ready if each.cap.feeders),
        of_sectors=tuple(each for each in ready if each.cap.postcode_sectors),
    )


def place_of(site: Site) -> tuple[str, str]:
    """Feeder (in compared form) and postcode sector of a site; empty if not known."""
    premises = site.premises
    if not isinstance(premises, Premises):
        return "", ""
    return (
        folded_feeder(known(premises.feeder) or ""),
        sector_of(known(premises.postcode) or "") or "",
    )


def where_capped(cap: ExportCap, feeder: str, sector: str) -> str:
    """Why a cap applies to the place: "feeder", "sector" or "everywhere"; empty if it does not."""
    if cap.everywhere:
        return "everywhere"
    if feeder and any(folded_feeder(name) == feeder for name in cap.feeders):
        return "feeder"
    return "sector" if sector and sector in cap.postcode_sectors else ""


def caps_at(site: Site, book: Rulebook) -> tuple[ExportCap, ...]:
    """The caps that apply to a site, as far as its place is known."""
    caps = caps_in_order(book, book.whole("voltage.nominal"))
    return tuple(each.cap for _, each in caps.at(*place_of(site))) if caps is not None else ()


def _ready(cap: ExportCap, nominal_mv: int) -> ReadyCap:
    if cap.unit == "mA":
        return ReadyCap(cap, scaled_current(cap.amount, nominal_mv), 6 * nominal_mv)
    # Apparent power is never below real power, the unit of an export figure.
    return ReadyCap(cap, scaled_power(cap.amount), SCALE_PER_W)
