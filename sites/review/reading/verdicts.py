"""Findings with the engineer's verdicts on them, as far as those still count."""

from collections.abc import Iterable

from msgspec import Struct

from connections.facts.decision import Decision, Finding
from sites.premises.models import ApplicationLine
from sites.review.models import Verdict


class OpenFinding(Struct, frozen=True):
    """A finding with the verdict that answers it now, if one does, and one that no longer does."""

    finding: Finding
    verdict: Verdict | None
    outdated: Verdict | None

    @property
    def is_open(self) -> bool:
        """Whether somebody must still act: a stop or a decision without a verdict that counts."""
        return self.finding.severity != "inform" and self.verdict is None


def findings_of(line: ApplicationLine, decision: Decision) -> list[OpenFinding]:
    """Every finding with its verdict. A verdict counts only while the basis is equal; one that
    stops counts only with the operator's written agreement."""
    return with_verdicts(decision, line.verdicts.select_related("by", "operator_file"))


def with_verdicts(decision: Decision, verdicts: Iterable[Verdict]) -> list[OpenFinding]:
    """The same for verdicts at hand, oldest first: the latest on a finding is the one asked."""
    latest: dict[tuple[str, str], Verdict] = {}
    for verdict in verdicts:
        latest[verdict.finding, verdict.subject] = verdict
    found = []
    for finding in decision.findings:
        last = latest.get((finding.id, finding.subject))
        counts = last is not None and last.basis == finding.basis
        if counts and finding.severity == "stops":
            counts = last is not None and last.kind == "operator-agreed"
        found.append(OpenFinding(finding, last if counts else None, None if counts else last))
    return found
