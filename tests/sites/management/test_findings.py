"""`findings` prints each finding with its severities, its module and its question."""

import re
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from connections.assessing import Assessor
from sites.desk.demonstration import SITES


def printed(*names: str) -> dict[str, tuple[str, dict[str, str], str]]:
    """Module, severities with when (empty for the usual one), and question, by the id."""
    out = StringIO()
    call_command("findings", *names, stdout=out)
    found: dict[str, tuple[str, dict[str, str], str]] = {}
    for line in out.getvalue().splitlines():
        if head := re.fullmatch(r"([a-z-]+): (stops|decide|inform), ([a-z.]+)", line):
            id = head[1]
            found[id] = (head[3], {head[2]: ""}, "")
        elif line.endswith("?"):
            found[id] = (*found[id][:2], line.strip())
        else:
            severity, when = line.strip().split(" ", 1)
            found[id][1][severity] = when
    return found


def test_a_finding_is_printed_with_module_severities_and_question():
    assert printed("looped-service") == {
        "looped-service": (
            "findings.supply",
            {
                "decide": "",
                "stops": "where the operator refuses it",
                "inform": "where the operator accepts it",
            },
            "Does the service share its cable with a neighbour?",
        )
    }


def test_all_are_printed_with_a_question():
    found = printed()
    assert len(found) > 90
    assert all(question for _, _, question in found.values())


def test_findings_of_the_demonstration_have_a_severity_that_is_printed():
    found = printed()
    assessor = Assessor()
    met = {
        (finding.id, finding.severity)
        for file in SITES.glob("*.json")
        for finding in assessor.decide(assessor.site(file.read_bytes())).decision.findings
    }
    assert len({finding for finding, _ in met}) > 20
    for finding, severity in met:
        assert severity in found[finding][1], finding


def test_a_module_shows_its_own():
    assert set(printed("findings.balance")) == {
        "phases-out-of-balance", "balance-at-limit", "balance-not-known",
    }  # fmt: skip
    assert set(printed("checks.balance")) == {"check-neutral-current", "check-voltage-unbalance"}


def test_a_name_that_is_none_is_refused():
    with pytest.raises(CommandError, match='no finding and no module "balanse"'):
        call_command("findings", "balanse")
