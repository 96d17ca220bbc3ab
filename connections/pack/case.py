"""Inputs of a pack, and look-ups that several of its sections share."""

import datetime as dt

from msgspec import Struct

from connections.facts.decision import Decision
from connections.facts.defaults import is_counted, part_status, status_of
from connections.facts.site import Array, Limit, Limits, Loads, Premises, Site, Storage, Unit
from connections.pack.content import AttachedFile, Kind
from connections.rulebook.book import Rulebook

UNDETERMINED = "undetermined"
BEYOND = "beyond"


class EngineerDecision(Struct, frozen=True):
    """An engineer's decision on a finding.

    It counts only while `basis` is the finding's own: the digest of the facts that it read, and
    only if it names a `way` of a finding that has some. Only
    the network operator's written agreement, named by its reference and date, clears a finding that
    stops.
    """

    finding: str
    subject: str
    basis: str
    reason: str
    by: str
    on: dt.date
    agreement_reference: str = ""
    agreement_on: dt.date | None = None
    way: str = ""


class InstallerDeclaration(Struct, frozen=True):
    """The installer's declaration on a notification: who gave it and when."""

    by: str
    on: dt.date


class SentWithout(Struct, frozen=True):
    """An engineer's reason to send a pack without a needed fact.

    `item` is the data item; `of` the row of a column ("bat-1"), empty for an item of the case.
    """

    item: str
    of: str
    reason: str


class Case(Struct, frozen=True):
    """All inputs of a pack.

    `subject` holds the ids of the units that the pack is about.
    """

    site: Site
    decision: Decision
    book: Rulebook
    kind: Kind
    subject: frozenset[str]
    prepared_on: dt.date
    decisions: tuple[EngineerDecision, ...] = ()
    declaration: InstallerDeclaration | None = None
    attachments: tuple[AttachedFile, ...] = ()
    without: tuple[SentWithout, ...] = ()

    def reason_without(self, item: str, of: str = "") -> str | None:
        """The reason to send the pack without a fact; None if there is none."""
        return next((w.reason for w in self.without if (w.item, w.of) == (item, of)), None)

    @property
    def procedure(self) -> str:
        """Key of the procedure."""
        return self.decision.procedure.key

    @property
    def premises(self) -> Premises | None:
        """The premises, if the site file has them."""
        found = self.site.premises
        return found if isinstance(found, Premises) else None

    @property
    def loads(self) -> Loads | None:
        """The demand, if the site file states any."""
        found = self.site.loads
        return found if isinstance(found, Loads) else None

    @property
    def subjects(self) -> tuple[Unit, ...]:
        """The units that the pack is about."""
        return tuple(unit for unit in self.site.units if unit.id in self.subject)

    @property
    def after_the_work(self) -> bool:
        """Whether the pack reports finished work."""
        return self.kind in ("notification", "confirmation")

    @property
    def nominal_mv(self) -> int:
        """The rulebook's phase-to-neutral voltage [mV] at which procedure currents are given."""
        return self.book.whole("voltage.nominal")

    def limit(self, which: str) -> Limit | None:
        """The export or the import limit of the site."""
        limits = self.site.limits
        if not isinstance(limits, Limits):
            return None
        found = limits.export if which == "export" else limits.import_
        return found if isinstance(found, Limit) else None

    def staying(self) -> tuple[Unit, ...]:
        """Existing and proposed units."""
        return tuple(unit for unit in self.site.units if status_of(unit) != "removed")

    def counted(self) -> tuple[Unit, ...]:
        """The units that count towards the aggregate."""
        return tuple(unit for unit in self.site.units if is_counted(unit))

    def arrays_behind(self, unit: Unit) -> tuple[Array, ...]:
        """Existing and proposed panels behind a unit."""
        return tuple(
            part
            for part in self.site.arrays
            if part.unit_id == unit.id and part_status(part.status, unit) != "removed"
        )

    def cells_behind(self, unit: Unit) -> tuple[Storage, ...]:
        """Existing and proposed cells behind a unit."""
        return tuple(
            part
            for part in self.site.storage
            if part.unit_id == unit.id and part_status(part.status, unit) != "removed"
        )

    def has_panels(self) -> bool:
        """Whether the site has existing or proposed panels."""
        return any("pv" in unit.source or self.arrays_behind(unit) for unit in self.staying())

    def has_storage(self, unit: Unit) -> bool:
        """Whether a unit has cells behind it, described or only named by its source."""
        return "storage" in unit.source or bool(self.cells_behind(unit))
