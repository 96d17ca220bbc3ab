"""Findings, and engineers' decisions on them."""

from collections.abc import Sequence

from connections.facts.decision import Finding
from connections.pack.case import Case, EngineerDecision
from connections.pack.content import Block, Cell, Column, Point, Points, PrintedRow, Prose, Table
from connections.pack.figures import listed, quantity, short_date
from connections.pack.places import subject_words
from connections.pack.sections.layout import Sheet

_HEADS = {
    "stops": "Stops until the facts change, or the network operator agrees in writing",
    "decide": "An engineer decides each of these",
    "inform": "For information",
}


def decision_on(case: Case, finding: Finding) -> EngineerDecision | None:
    """The engineer's decision that counts for a finding: same finding, subject and basis.

    A finding that stops needs one that names the network operator's written agreement, where that
    can clear it.
    """
    for decision in case.decisions:
        same = (decision.finding, decision.subject, decision.basis)
        agreed = bool(decision.agreement_reference) and decision.agreement_on is not None
        if (
            same == (finding.id, finding.subject, finding.basis)
            and (finding.severity != "stops" or (agreed and finding.agreement))
            and names_a_way(finding, decision.way)
        ):
            return decision
    return None


def names_a_way(finding: Finding, way: str) -> bool:
    """Whether a decision that names this way can answer the finding."""
    return not finding.ways or any(way == each.key for each in finding.ways)


def undecided(case: Case) -> tuple[Finding, ...]:
    """Findings that stop, or that an engineer must decide, without a decision that clears them."""
    return tuple(
        finding
        for finding in case.decision.findings
        if finding.severity != "inform" and decision_on(case, finding) is None
    )


def finding_blocks(sheet: Sheet) -> list[Block]:
    """Findings by severity, and the decisions on them, without those of the strings of panels."""
    # Imported here: readers of packs need no formulas.
    from connections.rules.findings.checks import ENGINEERS_OWN

    findings = [f for f in sheet.case.decision.findings if f.id not in ENGINEERS_OWN]
    if not findings:
        return [Prose("findings.none", "", ("The rules have nothing to say beyond the above.",))]
    blocks: list[Block] = []
    for severity, head in _HEADS.items():
        found = [finding for finding in findings if finding.severity == severity]
        if found:
            points = tuple(_point(sheet.case, finding) for finding in found)
            blocks.append(Points(f"findings.{severity}", head, points))
    decisions = [d for d in sheet.case.decisions if d.finding not in ENGINEERS_OWN]
    if decisions:
        blocks.append(_decisions(sheet, decisions))
    return blocks


def _point(case: Case, finding: Finding) -> Point:
    said = [finding.sentence]
    if finding.margin is not None:
        left = quantity(abs(finding.margin), finding.margin_unit)
        said.append(f"{left} {'left to' if finding.margin >= 0 else 'over'} the limit.")
    if finding.severity != "inform":
        said.append(_standing(case, finding))
    small = [_sentence_end(finding.workings)] if finding.workings else []
    if finding.sources:
        small.append(f"Source: {listed(finding.sources)}.")
    return Point(subject_words(finding.subject, case.site), " ".join(said), " ".join(small))


def _standing(case: Case, finding: Finding) -> str:
    decided = decision_on(case, finding) is not None
    if finding.severity == "stops":
        return "Cleared by a written agreement, see below." if decided else "Not cleared."
    return "Decided, see below." if decided else "Not decided yet."


def _sentence_end(text: str) -> str:
    return text if text.endswith((".", ")")) else f"{text}."


def _decisions(sheet: Sheet, decisions: Sequence[EngineerDecision]) -> Table:
    rows = []
    for i, decision in enumerate(decisions, start=1):
        by = sheet.kept_apart(f"decision.{i}.by", Cell(text=decision.by or None))
        rows.append(
            PrintedRow(
                (
                    Cell(
                        text=f"{subject_words(decision.subject, sheet.case.site)}\n"
                        f"{_sentence(sheet.case, decision)}"
                    ),
                    Cell(text=_reason(sheet.case, decision)),
                    by,
                    Cell(text=short_date(decision.on)),
                )
            )
        )
    return Table(
        id="findings.decisions",
        title="Engineer's decisions",
        columns=(
            Column("On the finding", 34),
            Column("Decision and reason", 34),
            Column("By", 18),
            Column("On", 14),
        ),
        rows=tuple(rows),
    )


def _sentence(case: Case, decision: EngineerDecision) -> str:
    """The finding's sentence; its id where the finding is no longer there."""
    for finding in case.decision.findings:
        if (finding.id, finding.subject) == (decision.finding, decision.subject):
            return finding.sentence
    return decision.finding


def _reason(case: Case, decision: EngineerDecision) -> str:
    ways = {
        way.key: f"{way.says[:1].upper()}{way.says[1:]}."
        for finding in case.decision.findings
        if finding.id == decision.finding
        for way in finding.ways
    }
    said = [part for part in (ways.get(decision.way, ""), decision.reason) if part]
    if decision.agreement_reference:
        dated = f", {short_date(decision.agreement_on)}" if decision.agreement_on else ""
        said.append(f"Network operator's written agreement: {decision.agreement_reference}{dated}.")
    if not any(decision_on(case, finding) is decision for finding in case.decision.findings):
        said.append("Made on other facts: does not count here.")
    return "\n".join(said)
