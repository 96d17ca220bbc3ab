"""Content of a premises' page: its plant, the proposal, and the outcome."""

from dataclasses import dataclass

from connections.assessing import Assessor
from connections.diagram.drawing import Drawing
from connections.diagram.single_line import draw
from connections.pack.build import build_pack, kind_of, missing_items
from connections.pack.pack_error import PackError
from sites.cases.models import Case
from sites.deciding.reading.deciding import DecidedSite, assessor, decide_rows
from sites.deciding.reading.panel import Outcome, SaidFinding, area_words, outcome_of, said_first
from sites.deciding.reading.remedies import ShownRemedies
from sites.deciding.words import margin_words
from sites.energy.reading.remedy_years import with_years
from sites.premises.models import Design, Premises
from sites.premises.reading.site_rows import SiteRows, rows_of_designs
from sites.premises.words.rows import PlantWords, plant_words, supply_facts, words_of_case
from sites.prices.reading import latest_choice
from sites.prices.words import choice_words
from sites.review.models import Verdict
from sites.review.reading.review import anchor_of
from sites.review.reading.verdicts import with_verdicts


@dataclass(frozen=True)
class DesignInShort:
    """A design in the list of designs."""

    design: Design
    name: str
    procedure: str
    total: str
    stops: int
    decides: int
    missing: int
    fault: str


@dataclass(frozen=True)
class AnsweredFinding(SaidFinding):
    """A finding with the verdict that counts, or the one that no longer does."""

    verdict: Verdict | None
    outdated: Verdict | None

    @property
    def anchor(self) -> str:
        """Its place on the page of the review."""
        return anchor_of(self.finding)


@dataclass(frozen=True)
class SitePage:
    """A premises with one of its designs, in the order of the page."""

    premises: Premises
    design: Design
    case: Case | None
    customer: str
    parties: tuple[tuple[str, str], ...]
    supply: tuple[tuple[str, str], ...]
    existing: PlantWords
    proposed: PlantWords
    designs: tuple[DesignInShort, ...]
    choice: str
    outcome: Outcome | None
    remedies: ShownRemedies | None
    first: tuple[str, ...]
    findings: tuple[AnsweredFinding, ...]
    wanted: tuple[str, ...]
    drawings: tuple[Drawing, ...]
    area: str

    @property
    def stops(self) -> list[AnsweredFinding]:
        """Findings that stop the application."""
        return [each for each in self.findings if each.finding.severity == "stops"]

    @property
    def decides(self) -> list[AnsweredFinding]:
        """Findings that need an engineer's decision."""
        return [each for each in self.findings if each.finding.severity == "decide"]

    @property
    def in_the_way(self) -> int:
        """How many findings nobody has decided yet, and facts that are missing."""
        undecided = [each for each in (*self.stops, *self.decides) if each.verdict is None]
        missing = self.outcome.missing if self.outcome is not None else ()
        return len(undecided) + len(missing) + len(self.wanted)

    @property
    def beneath(self) -> list[str]:
        """The line beneath the title: customer, first line of the address, postcode."""
        address = self.premises.address_lines.partition("\n")[0]
        return [words for words in (self.customer, address, self.premises.postcode) if words]

    @property
    def informs(self) -> list[AnsweredFinding]:
        """Findings for information."""
        return [each for each in self.findings if each.finding.severity == "inform"]


def site_page(premises: Premises, chosen: Design | None = None) -> SitePage:
    """Return the page of a premises with the chosen design, or else the proposal.

    The number of queries grows neither with rows nor with designs.
    """
    designs = list(premises.designs.all())
    design = chosen or next((each for each in designs if each.is_proposal), designs[0])
    for each in designs:
        each.premises = premises
    rows_by_design = rows_of_designs(designs)
    rows = rows_by_design[design.pk]
    case = premises.cases.select_related("application", "design", "owner").order_by("pk").last()
    first = said_first(rows)
    under = assessor()
    decided = decide_rows(rows, remedies=True, under=under)
    outcome = None if first else outcome_of(decided)
    if outcome is None and not first:
        first = (f"This can't be decided yet: {decided.fault}.",)
    return SitePage(
        premises=premises,
        design=design,
        case=case,
        customer=next((row.name for row in rows.parties if row.part == "customer"), ""),
        parties=words_of_case(rows),
        supply=supply_facts(rows),
        existing=plant_words(rows.existing, rows.removed),
        proposed=plant_words(rows.proposed),
        designs=tuple(
            _in_short(each, rows_by_design[each.pk], decided if each == design else None, under)
            for each in designs
        )
        if len(designs) > 1
        else (),
        choice=_choice(premises) if len(designs) > 1 else "",
        outcome=outcome,
        remedies=with_years(outcome.remedies, design, decided, "premises")
        if outcome is not None
        else None,
        first=first,
        findings=_findings(case, design, outcome),
        wanted=_wanted(decided) if outcome is not None else (),
        drawings=draw(decided.site) if outcome is not None and decided.site is not None else (),
        area=area_words(decided),
    )


def _findings(
    case: Case | None, design: Design, outcome: Outcome | None
) -> tuple[AnsweredFinding, ...]:
    """Return the findings with their verdicts; only the design applied for has verdicts."""
    if outcome is None:
        return ()
    verdicts = (
        case.verdicts.select_related("by", "operator_file")
        if case is not None and case.design_id == design.pk
        else ()
    )
    return tuple(
        AnsweredFinding(each.finding, margin_words(each.finding), each.verdict, each.outdated)
        for each in with_verdicts(outcome.decision, verdicts)
    )


def _wanted(decided: DecidedSite) -> tuple[str, ...]:
    """Return the data items that the pack needs and that are not known."""
    site, book, decision = decided.site, decided.book, decided.decision
    if site is None or book is None or decision is None:
        return ()
    try:
        pack = build_pack(
            site,
            decision,
            book,
            reference=site.reference,
            prepared_on=site.on_date,
            salt="0" * 32,
            kind=kind_of(decision),
            subject=decided.proposed,
        )
    except PackError:
        return ()
    return tuple(entry.label for entry in missing_items(pack))


def _choice(premises: Premises) -> str:
    """Return the last recorded choice in a sentence; empty for none."""
    choice = latest_choice(premises)
    return "" if choice is None else choice_words(choice)


def _in_short(
    design: Design, rows: SiteRows, decided: DecidedSite | None, under: Assessor
) -> DesignInShort:
    decided = decided or decide_rows(rows, under=under)
    decision = decided.decision
    findings = decision.findings if decision is not None else ()
    first = said_first(rows)
    return DesignInShort(
        design,
        design.name or "Design without a name",
        decision.procedure.title if decision is not None else "Not yet determined",
        "" if decision is None or decision.total_w is None else f"{decision.total_w / 1000:g} kW",
        sum(finding.severity == "stops" for finding in findings),
        sum(finding.severity == "decide" for finding in findings),
        len(decision.unknown) if decision is not None else 0,
        (first[0] if first else decided.fault) if decision is None else "",
    )
