"""The set of findings: what the rules can raise, and a sentence for each.

The ids are part of the decision file and of what engineers have decided on, so one that goes or is
renamed has to be noticed: this list is changed by hand.
"""

import ast
from pathlib import Path

from connections.rules import findings
from connections.rules.findings.checks import CAUTION_OF, FINDING_OF
from connections.rules.wording import WORDING

IDS = {
    "apparent-below-rated",
    "area-differs",
    "area-not-known",
    "array-smaller",
    "balance-at-limit",
    "balance-not-known",
    "behind-nothing",
    "beyond",
    "boundary",
    "can-island",
    "cap-ended",
    "cap-place-not-known",
    "cap-split-not-known",
    "caution-device-choice",
    "caution-open-pen",
    "check-board-sum",
    "check-breaking-capacity",
    "check-cable-capacity",
    "check-cable-withstand",
    "check-charging-drop",
    "check-dc-input",
    "check-demand",
    "check-device-current",
    "check-earth-loop",
    "check-electrode",
    "check-emissions",
    "check-fault-level",
    "check-import-limit",
    "check-limitation-scheme",
    "check-neutral-current",
    "check-rcd-touch",
    "check-schedule",
    "check-schedule-rcd",
    "check-service-board",
    "check-service-limited",
    "check-service-registered",
    "check-settings",
    "check-supply-impedance",
    "check-voltage-band",
    "check-voltage-rise",
    "check-voltage-step",
    "check-voltage-trip",
    "check-voltage-unbalance",
    "checks-not-possible",
    "dc-side-change",
    "declared-current",
    "declared-sum",
    "design-below-rated",
    "does-not-export",
    "existing-undated",
    "export-above-agreed",
    "export-above-cap",
    "export-above-import",
    "export-above-phase-limit",
    "export-phase-not-known",
    "fact-not-known",
    "full-test-too-large",
    "impossible-operating-point",
    "independent-network",
    "installed-above-cap",
    "level-not-known",
    "limit-in-va",
    "limit-not-known",
    "limit-not-type-tested",
    "load-notice",
    "local-condition",
    "local-export-cap",
    "looped-service",
    "ma-for-va",
    "missing-fact",
    "neighbours",
    "netting-limit",
    "no-register-reference",
    "nominal-voltage",
    "not-type-tested",
    "nothing-counted",
    "override-not-used",
    "phase-cap",
    "phase-not-on-supply",
    "phases-out-of-balance",
    "rule-missing",
    "rules-not-held",
    "software-cap",
    "standard-date",
    "standard-too-small",
    "storage-outside-module",
    "supply-cap",
    "supply-change",
    "supply-number-prefix",
    "supply-number-scheme",
    "switched-only",
    "tighter-limit",
    "transmission-assessment",
    "uncertain-value",
    "uncertain-values",
    "undetermined",
    "va-for-w",
    "voltage-optimiser",
}


def words_in(node: ast.expr) -> set[str]:
    """The ids that an argument can be: a word, or one of two."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return {node.value}
    if isinstance(node, ast.IfExp):
        return words_in(node.body) | words_in(node.orelse)
    return set()


def raised() -> tuple[set[str], list[str]]:
    """The ids in calls of `Found`, and the calls whose id is a name set elsewhere."""
    ids: set[str] = set()
    named: list[str] = []
    for path in sorted(Path(findings.__path__[0]).glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id == "Found":
                found = words_in(node.args[0])
                ids |= found
                if not found:
                    named.append(path.stem)
            elif node.func.id == "_found":  # balance hands the id on
                ids |= {
                    word
                    for inner in ast.walk(tree)
                    if isinstance(inner, ast.Assign)
                    and isinstance(inner.targets[0], ast.Name)
                    and inner.targets[0].id == "name"
                    for word in words_in(inner.value)
                }
    # The findings of the electrical checks are named by the check.
    return ids | set(FINDING_OF.values()) | set(CAUTION_OF.values()), named


def test_the_findings_are_the_known_ones():
    ids, named = raised()
    assert ids == IDS
    assert named == ["balance", "checks", "checks"]


def test_every_finding_has_wording_and_no_wording_is_left_over():
    assert set(WORDING) == IDS


def test_every_wording_says_what_it_is():
    for id, words in WORDING.items():
        assert words.__doc__, id
