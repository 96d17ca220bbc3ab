"""Turn a site file into a decision and a pack, without a database.

Read the file, resolve the rulebook for its date and area, decide, then write the decision or print
the pack. Input typed into boxes starts from its `Site`.
"""

import datetime as dt
import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from msgspec import UNSET, Struct, structs

from connections.facts.canonical import digest
from connections.facts.decision import Decision
from connections.facts.defaults import is_kit, known, status_of
from connections.facts.reading import read_site
from connections.facts.site import Premises, Site
from connections.facts.site_file_error import SiteFileError
from connections.facts.supply_number import read_core
from connections.remedies.option import Model
from connections.remedies.search import Found, search
from connections.rulebook.book import GREAT_BRITAIN, Reading, Rulebook
from connections.rulebook.load import Books, RulebookError, load_books, load_local, resolve
from connections.rulebook.schema import Part
from connections.rulebook.verifying import Named, with_readings
from connections.rules.decide import Decided, decide
from connections.rules.engineering import with_checks
from connections.rules.writing import write_decision

if TYPE_CHECKING:
    from connections.pack.content import Pack

NOTHING_DONE: Mapping[str, str] = MappingProxyType({})
NOTHING_READ: Mapping[Named, Reading] = MappingProxyType({})
_NOT_SEARCHED = Found((), 0, "")


class Assessed(Struct, frozen=True):
    """A decided site: its rulebook, the bare result of the rules, and the decision in words."""

    site: Site
    book: Rulebook
    decided: Decided
    decision: Decision


def decide_without_words(
    site: Site, book: Rulebook, done: Mapping[str, str] = NOTHING_DONE
) -> Decided:
    """Run the rules alone, without checks and sentences.

    `done` gives the day or month in which each unit was commissioned. Where the procedure is a
    notification, these units count as existing. Raises KeyError as `decide`.
    """
    decided = decide(site, book)
    if done:
        from connections.pack.build import kind_after

        if kind_after(decided.procedure, decided.steps) == "notification":
            return decide(as_built(site, done), book)
    return decided


def decide_under(
    site: Site,
    book: Rulebook,
    *,
    done: Mapping[str, str] = NOTHING_DONE,
    checks: bool = True,
    remedies: bool = False,
    catalogue: Sequence[Model] = (),
    explain: bool = False,
) -> Assessed:
    """Decide a site under a rulebook, in words; `done` as in `decide_without_words`.

    `checks` runs the electrical checks; long lists of sites leave them out. `remedies` searches for
    remedies, also among the models of `catalogue`. `explain` adds trace and derivation. Raises
    KeyError as `decide`.
    """
    decided = decide_without_words(site, book, done)
    site = decided.case.site
    found = search(site, decided, book, catalogue=catalogue) if remedies else _NOT_SEARCHED
    decision = write_decision(
        with_checks(decided) if checks else decided,
        explain=explain,
        remedies=found.remedies,
        remedies_stopped=found.stopped,
    )
    return Assessed(site, book, decided, decision)


def as_built(site: Site, commissioned: Mapping[str, str]) -> Site:
    """Mark the commissioned proposed units, and the panels and cells behind them, as existing.

    A plug-in kit stays proposed: its procedure is that of a new kit also once it is plugged in.
    """
    done = {
        unit.id
        for unit in site.units
        if unit.id in commissioned and status_of(unit) == "proposed" and not is_kit(unit)
    }
    return structs.replace(
        site,
        units=tuple(
            structs.replace(
                unit, status="existing", commissioned_on=commissioned[unit.id], planned_on=UNSET
            )
            if unit.id in done
            else unit
            for unit in site.units
        ),
        arrays=tuple(
            structs.replace(part, status="existing")
            if part.unit_id in done and part.status == "proposed"
            else part
            for part in site.arrays
        ),
        storage=tuple(
            structs.replace(part, status="existing")
            if part.unit_id in done and part.status == "proposed"
            else part
            for part in site.storage
        ),
    )


class Assessor:
    """Decides sites under one choice of date, area and local entries.

    `on` overrides the date of every file, `area` its licence area; `local` are files of local
    entries, or parts already read from them; `readings` tell which values the firm has read.
    Raises RulebookError if the area is unknown or a file does not load.
    """

    def __init__(
        self,
        *,
        on: dt.date | None = None,
        area: str | None = None,
        local: Sequence[Path | Part] = (),
        readings: Mapping[Named, Reading] = NOTHING_READ,
    ) -> None:
        self.books: Books = load_books()
        self.on = on
        if area and all(known.id != area for known in self.books.areas):
            raise RulebookError("", "area", self._no_such_area(area))
        self.area = area
        self.local: tuple[Part, ...] = tuple(
            part if isinstance(part, Part) else load_local(part, self.books) for part in local
        )
        self.readings = readings
        self._resolved: dict[tuple[dt.date, str, str], Rulebook] = {}

    def site(self, raw: bytes | str) -> Site:
        """Read a site file and apply the overriding date. Raises SiteFileError."""
        site = read_site(raw)
        return structs.replace(site, on_date=self.on) if self.on else site

    def rulebook(self, site: Site) -> Rulebook:
        """The rulebook that holds for a site. Raises SiteFileError naming the fact at fault."""
        area = self.area if self.area is not None else self._area(site)
        nation = (
            known(site.premises.nation) if isinstance(site.premises, Premises) else None
        ) or self._nation_of(area)
        key = (site.on_date, area, nation)
        found = self._resolved.get(key)
        if found is None:
            try:
                found = resolve(
                    self.books, on=site.on_date, area=area, nation=nation or None, local=self.local
                )
            except RulebookError as fault:
                raise SiteFileError(_place(fault, nation), fault.fault) from fault
            self._resolved[key] = found = with_readings(found, self.readings)
        return found

    def decide(
        self,
        site: Site,
        *,
        done: Mapping[str, str] = NOTHING_DONE,
        checks: bool = True,
        remedies: bool = False,
        catalogue: Sequence[Model] = (),
        explain: bool = False,
    ) -> Assessed:
        """Decide a site under the rulebook that holds for it, as `decide_under`.

        Raises SiteFileError as `rulebook`.
        """
        return decide_under(
            site,
            self.rulebook(site),
            done=done,
            checks=checks,
            remedies=remedies,
            catalogue=catalogue,
            explain=explain,
        )

    def _area(self, site: Site) -> str:
        """The stated licence area, else that of the supply number; empty if neither."""
        premises = site.premises
        if not isinstance(premises, Premises):
            return ""
        given = known(premises.licence_area)
        if given:
            if all(area.id != given for area in self.books.areas):
                raise SiteFileError("premises.licence_area", self._no_such_area(given))
            return given
        nation = known(premises.nation)
        if nation and nation not in GREAT_BRITAIN:
            return self._only_area_of(nation)
        for number in premises.supply_numbers:
            if number.scheme == "gb13":
                prefix = read_core(number.value, number.scheme).prefix
                for area in self.books.areas:
                    if area.prefix == prefix and not area.independent:
                        return area.id
        return ""

    def _only_area_of(self, nation: str) -> str:
        """The area of a nation that has one network operator; empty where it has several."""
        found = [area.id for area in self.books.areas if area.nation == nation]
        return found[0] if len(found) == 1 else ""

    def _nation_of(self, area: str) -> str:
        """The nation of an area; empty for an area of Great Britain or an unknown one."""
        return next((known.nation for known in self.books.areas if known.id == area), "")

    def _no_such_area(self, given: str) -> str:
        ids = ", ".join(area.id for area in self.books.areas if not area.independent)
        return f'"{given}" is not a licence area; use one of {ids}'


def _place(fault: RulebookError, nation: str) -> str:
    if "area" in fault.key:
        return "premises.licence_area"
    return "premises.nation" if nation and nation in str(fault) else "on_date"


def assess_file(path: Path) -> Decision:
    """Decide one site file, with remedies. Raises SiteFileError."""
    assessor = Assessor()
    return assessor.decide(assessor.site(path.read_bytes()), remedies=True).decision


def write_pack(path: Path, to: Path) -> Path:
    """Print the pack of one site file, marked "not issued". Raises SiteFileError or PrintError."""
    assessor = Assessor()
    return print_pack(assessor, assessor.site(path.read_bytes()), to)


def pack_of(assessor: Assessor, site: Site) -> "Pack":
    """The pack of a site that is not issued.

    The digest of the site serves as salt of the personal part, so the same file prints the same
    bytes. An issued pack has a salt of its own. Raises SiteFileError and PackError.
    """
    from connections.pack.build import build_pack

    assessed = assessor.decide(site)
    return build_pack(
        site,
        assessed.decision,
        assessed.book,
        reference=site.reference,
        prepared_on=site.on_date,
        salt=digest(site)[:32],
    )


def print_pack(assessor: Assessor, site: Site, to: Path) -> Path:
    """Print the pack of a site that is not issued. Raises as `pack_of`, and PrintError."""
    from connections.documents.render import render

    return write_aside(to, render(pack_of(assessor, site)))


def write_aside(to: Path, content: bytes) -> Path:
    """Write a file whole or not at all: write aside, then rename."""
    to.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=to.parent, prefix=f".{to.name}.")
    try:
        with os.fdopen(handle, "wb") as aside:
            aside.write(content)
            aside.flush()
            os.fsync(aside.fileno())
        os.chmod(name, 0o644)
        os.replace(name, to)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return to
