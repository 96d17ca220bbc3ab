"""Matches findings with the engineer's verdicts that still count."""

from collections.abc import Iterable

from msgspec import Struct

from connections.facts.decision import Decision, Finding
from connections.pack.sections.findings import names_a_way
from sites.cases.models import Case
from sites.review.models import Verdict


class OpenFinding(Struct, frozen=True):
    """A finding with the verdict that counts, or the one that no longer does."""

    finding: Finding
    verdict: Verdict | None
    outdated: Verdict | None

    @property
    def is_open(self) -> bool:
        """Whether somebody must still act: a stop or a decision without a verdict that counts."""
        return self.finding.severity != "inform" and self.verdict is None


def findings_of(case: Case, decision: Decision) -> list[OpenFinding]:
    """Return every finding with its verdict.

    A verdict counts only while the basis is equal. On a finding that stops, only the operator's
    written agreement counts, where it can clear it.
    """
    return with_verdicts(decision, case.verdicts.select_related("by", "operator_file"))


def with_verdicts(decision: Decision, verdicts: Iterable[Verdict]) -> list[OpenFinding]:
    """Match findings with these verdicts, oldest first; the latest on a finding is used."""
    latest: dict[tuple[str, str], Verdict] = {}
    for verdict in verdicts:
        latest[verdict.finding, verdict.subject] = verdict
    found = []
    for finding in decision.findings:
        last = latest.get((finding.id, finding.subject))
        counts = last is not None and last.basis == finding.basis
        if counts and finding.severity == "stops":
            counts = finding.agreement and last is not None and last.kind == "operator-agreed"
        counts = counts and names_a_way(finding, last.way if last is not None else "")
        found.append(OpenFinding(finding, last if counts else None, None if counts else last))
    return found
