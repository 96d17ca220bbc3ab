"""Panel beside the sheet: the outcome of what is typed so far."""

from dataclasses import dataclass, field

from connections.diagram.drawing import Drawing
from connections.diagram.single_line import draw
from connections.facts.decision import Decision, Finding, Step
from connections.facts.naming import words_for
from connections.facts.supply_number import read_core
from connections.pack.places import assumed_words
from connections.rulebook.book import Rulebook
from connections.rulebook.load import load_books
from connections.rules.figures import amps, kilowatts, volts
from connections.rules.findings.planning import PLANNED_BEFORE_ANSWER, PLANNED_OUTSIDE_WINDOW
from connections.rules.findings.standing import ISLANDS
from connections.rules.phase_limits import limits_near
from sites.deciding.reading.deadlines import DueStep, due_steps
from sites.deciding.reading.deciding import DecidedSite, decide_rows
from sites.deciding.reading.remedies import ShownRemedies, shown_remedies
from sites.deciding.words import margin_words
from sites.house.boxes.sheet_form import Fault
from sites.premises.forms.sheet import Sheet
from sites.premises.reading.site_rows import SiteRows

BAR_WIDTH = 300
"""Width of a phase's bar in drawing units; our choice."""


@dataclass(frozen=True)
class Mark:
    """A limit on the bar of a phase."""

    x: int
    amps: str
    says: str
    source: str
    words: str
    passed: bool


@dataclass(frozen=True)
class PhaseBar:
    """The sum of one phase, as figures and as a bar."""

    phase: str
    amps: str
    power: str
    known: bool
    width: int
    marks: tuple[Mark, ...]
    terms: tuple[str, ...]


@dataclass(frozen=True)
class SaidFinding:
    """A finding with its margin in words."""

    finding: Finding
    margin: str


@dataclass(frozen=True)
class Outcome:
    """What pages show of a decided site."""

    decided: DecidedSite
    decision: Decision
    phases: tuple[PhaseBar, ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps in order."""
        return self.decision.steps

    @property
    def due_steps(self) -> tuple[DueStep, ...]:
        """The steps, each with its deadline in words."""
        return due_steps(self.decided)

    @property
    def stops(self) -> list[SaidFinding]:
        """Findings that stop the application, except missing facts, which have their own list."""
        return [said for said in self._said("stops") if said.finding.id != "undetermined"]

    @property
    def decides(self) -> list[SaidFinding]:
        """Findings that need an engineer's decision."""
        return self._said("decide")

    def _said(self, severity: str) -> list[SaidFinding]:
        return [
            SaidFinding(finding, margin_words(finding))
            for finding in self.decision.findings
            if finding.severity == severity
        ]

    @property
    def planned(self) -> list[SaidFinding]:
        """Findings on the day planned for the work, told before anybody is booked."""
        ids = {kind.id for kind in (PLANNED_BEFORE_ANSWER, PLANNED_OUTSIDE_WINDOW)}
        return [said for said in self._said("inform") if said.finding.id in ids]

    @property
    def remedies(self) -> ShownRemedies:
        """Remedies that clear a stop or reach an earlier procedure."""
        return shown_remedies(self.decision)

    @property
    def voltage(self) -> str:
        """The phase-to-neutral voltage for the currents of the procedure."""
        book = self.decided.book
        return volts(book.whole("voltage.nominal")) if book is not None else ""

    @property
    def other_reading(self) -> str:
        """The procedure under the other reading of an ambiguous limit, in words."""
        key = self.decision.procedure.other_reading
        outcomes = self.decided.book.outcomes if self.decided.book is not None else ()
        return next((each.title for each in outcomes if each.key == key), key or "")

    @property
    def says(self) -> str:
        """The outcome in one line, for a screen reader."""
        sums = "; ".join(f"{bar.phase} {bar.amps}" for bar in self.phases)
        counts = []
        if self.stops:
            counts.append(f"{len(self.stops)} stopping it")
        if self.decides:
            counts.append(f"{len(self.decides)} for the engineer")
        if self.missing:
            counts.append(f"{len(self.missing)} missing")
        return f"{self.decision.procedure.title}. {sums}. {', '.join(counts)}".rstrip(". ") + "."


@dataclass(frozen=True)
class Panel:
    """The outcome, or else what to enter first, and the boxes that can't be read yet."""

    outcome: Outcome | None
    first: tuple[str, ...] = ()
    unreadable: tuple[Fault, ...] = ()
    lacking: tuple[Fault, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    area: str = ""
    area_option: str = ""
    spread: tuple[str, ...] = ()
    units: tuple[str, ...] = field(default_factory=tuple)

    @property
    def asks_island(self) -> bool:
        """Whether the rules of the area tell islands apart."""
        book = self.outcome.decided.book if self.outcome is not None else None
        return book is not None and ISLANDS in book.values

    @property
    def says(self) -> str:
        """The panel in one line, for a screen reader."""
        if self.outcome is not None:
            return self.outcome.says
        return self.first[0] if self.first else ""


def panel_of(sheet: Sheet) -> Panel:
    """Return the panel of a sheet as typed; names boxes that can't be read and leaves them out."""
    rows = sheet.rows
    faults = sheet.faults()
    unreadable = tuple(fault for fault in faults if not fault.needed)
    lacking = tuple(fault for fault in faults if fault.needed)
    units = tuple(unit.label for unit in (*rows.existing.units, *rows.proposed.units))
    option = area_option(rows)
    if first := said_first(rows):
        return Panel(None, first, unreadable, lacking, area_option=option, units=units)
    if not rows.premises.reference:
        rows.premises.reference = "not named yet"
    decided = decide_rows(rows, remedies=True)
    outcome = outcome_of(decided)
    if outcome is None or decided.site is None:
        first = (f"This can't be decided yet: {decided.fault}.",)
        return Panel(None, first, unreadable, lacking, area_option=option, units=units)
    return Panel(
        outcome,
        (),
        unreadable,
        lacking,
        draw(decided.site),
        area_words(decided),
        option,
        tuple(sheet.spread_units),
        units,
    )


def said_first(rows: SiteRows) -> tuple[str, ...]:
    """Return what must be entered before anything can be decided."""
    supply = rows.new_supply or rows.supply
    first = []
    if supply is None or supply.phases is None:
        first.append("Say how many phases the supply has.")
    units = [*rows.existing.units, *rows.proposed.units]
    if not units:
        first.append("Enter a unit: what drives it, and its registered capacity.")
    return tuple(first)


def outcome_of(decided: DecidedSite) -> Outcome | None:
    """Return a decision with bars and its missing and assumed facts in words, or None."""
    site, decision, book = decided.site, decided.decision, decided.book
    if site is None or decision is None or book is None:
        return None
    return Outcome(
        decided,
        decision,
        phase_bars(decision, book),
        tuple(_capital(words_for(path, site)) for path in decision.unknown),
        tuple(assumed_words(decision.assumed, site)),
    )


def phase_bars(decision: Decision, book: Rulebook) -> tuple[PhaseBar, ...]:
    """Compare each phase's sum with the limits it passes and the next one."""
    sums = [phase.ma or 0 for phase in decision.phase_sums]
    limits = limits_near(book, decision)
    scale = max(*sums, *limits, 0, 0) * 21 // 20 or 1
    bars = []
    for phase in decision.phase_sums:
        ma = phase.ma
        marks = tuple(
            Mark(
                x=limit * BAR_WIDTH // scale,
                amps=amps(limit),
                says=book.values[limits[limit]].says,
                source=str(book.values[limits[limit]].source),
                words=_against(ma, limit),
                passed=ma is not None and ma > limit,
            )
            for limit in limits
        )
        bars.append(
            PhaseBar(
                phase=phase.phase,
                amps=amps(ma) if ma is not None else "not known yet",
                power=kilowatts((phase.sixths_w + 3) // 6) if phase.sixths_w is not None else "",
                known=ma is not None,
                width=min((ma or 0) * BAR_WIDTH // scale, BAR_WIDTH),
                marks=marks,
                terms=tuple(
                    f"{term.unit}: {term.quantity if term.quantity is not None else 'not known'} × "
                    f"{kilowatts(term.rated_w)}"
                    + (f" ÷ {term.phases} phases" if term.phases > 1 else "")
                    for term in phase.terms
                ),
            )
        )
    return tuple(bars)


def _against(ma: int | None, limit: int) -> str:
    """Return the distance of a sum to a limit, in words."""
    if ma is None:
        return f"limit {amps(limit)}"
    if ma == limit:
        return f"exactly at {amps(limit)}"
    return f"{amps(abs(limit - ma))} {'above' if ma > limit else 'below'} {amps(limit)}"


def area_words(decided: DecidedSite) -> str:
    """Return the licence area whose rules were used."""
    book = decided.book
    areas = book.areas if book is not None else ()
    area = next((area for area in areas if book is not None and area.id == book.area), None)
    return area.name if area is not None else ""


def area_option(rows: SiteRows) -> str:
    """Return the text of the licence area's box while no area is chosen."""
    nation = rows.premises.nation
    own = [area.name for area in load_books().areas if area.nation and area.nation == nation]
    if own:
        return f"{own[0]}, as the nation says"
    areas = {area.prefix: area for area in load_books().areas}
    for number in rows.numbers:
        if number.scheme != "gb13":
            continue
        area = areas.get(read_core(number.value, number.scheme).prefix)
        if area is None:
            return "choose: the supply number names no area that is known here"
        if area.independent:
            return "choose: the supply number names an independent operator"
        return f"{area.name}, as the supply number says"
    return ""


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
