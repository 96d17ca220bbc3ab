"""Decisions that the network operator must know: exact limits, agreements, what it rules on."""

from connections.facts.decision import Finding
from connections.pack.content import Block, Cell, Column, PrintedRow, Table
from connections.pack.figures import short_date
from connections.pack.places import subject_words
from connections.pack.sections.findings import decision_on
from connections.pack.sections.layout import Sheet

CONCERN = frozenset(
    {
        "boundary",
        "balance-at-limit",
        "phases-out-of-balance",
        "supply-cap",
        "phase-cap",
        "software-cap",
        "limit-not-type-tested",
        "netting-limit",
        "dc-side-change",
        "dc-side-capacity",
        "module-replaced",
        "shared-generation",
        "short-term-parallel",
        "looped-service",
        "supply-change",
        "voltage-optimiser",
        "neighbours",
        "can-island",
        "local-condition",
    }
)
"""Findings on which an engineer decides and whose subject is the network operator's too."""


def decision_blocks(sheet: Sheet) -> list[Block]:
    """Findings that concern the network, each with its agreement or decision; may be none."""
    told = [f for f in sheet.case.decision.findings if _is_told(sheet, f)]
    if not told:
        return []
    sheet.enter("decisions", "procedure", "Decisions that concern the network", "decisions")
    return [
        Table(
            id="decisions",
            title="",
            columns=(Column("About", 12), Column("What", 48), Column("Decision", 40)),
            rows=tuple(_row(sheet, finding) for finding in told),
        )
    ]


def _is_told(sheet: Sheet, finding: Finding) -> bool:
    decided = decision_on(sheet.case, finding)
    if finding.severity == "stops":
        return decided is not None
    return finding.severity == "decide" and finding.id in CONCERN


def _row(sheet: Sheet, finding: Finding) -> PrintedRow:
    decided = decision_on(sheet.case, finding)
    said = ["not decided yet"]
    if decided is not None:
        ways = {way.key: f"{way.says[:1].upper()}{way.says[1:]}." for way in finding.ways}
        said = [part for part in (ways.get(decided.way, ""), decided.reason) if part]
        if decided.agreement_reference:
            day = f", {short_date(decided.agreement_on)}" if decided.agreement_on else ""
            said.append(f"Network operator's agreement {decided.agreement_reference}{day}.")
    about = subject_words(finding.subject, sheet.case.site)
    return PrintedRow(
        (Cell(text=about), Cell(text=_first(finding.sentence)), Cell(text="\n".join(said)))
    )


def _first(sentences: str) -> str:
    """The first of some sentences: what is the case. The others tell the engineer what to do."""
    first, stop, _ = sentences.partition(". ")
    return f"{first}." if stop else first
