"""`findings` prints each finding with the severity that sites meet it with."""

import re
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from connections.assessing import Assessor
from connections.rules.wording import WORDING
from sites.desk.demonstration import SITES


def printed(*names: str) -> dict[str, tuple[set[str], set[str], str]]:
    """Severities, modules and what it is about, by the finding's id."""
    out = StringIO()
    call_command("findings", *names, stdout=out)
    lines = out.getvalue().splitlines()
    found = {}
    for head, about in zip(lines[::2], lines[1::2], strict=True):
        told = re.fullmatch(r"([a-z-]+): (.+), made in ([a-z, ]+)", head)
        assert told is not None, head
        found[told[1]] = (set(told[2].split(" or ")), set(told[3].split(", ")), about.strip())
    return found


def test_every_finding_with_a_wording_is_printed_whole():
    found = printed()
    assert list(found) == list(WORDING)
    for finding, (severities, modules, about) in found.items():
        assert severities <= {"stops", "decide", "inform"}, finding
        assert modules, finding
        assert about.endswith("."), finding


# Severity and modules as they were told by hand, one of each way in which the source states them.
@pytest.mark.parametrize(
    ("finding", "severities", "modules"),
    [
        ("undetermined", {"stops"}, {"capacity"}),
        ("no-register-reference", {"decide"}, {"limiting", "testing"}),
        ("phases-out-of-balance", {"decide"}, {"balance"}),
        ("balance-not-known", {"inform"}, {"balance"}),
        ("looped-service", {"stops", "decide", "inform"}, {"supply"}),
        ("local-export-cap", {"stops", "decide"}, {"local"}),
        ("local-condition", {"stops", "decide", "inform"}, {"local"}),
        ("check-demand", {"decide"}, {"checks"}),
        ("load-notice", {"inform"}, {"checks"}),
    ],
)
def test_as_told_by_hand(finding, severities, modules):
    assert printed(finding)[finding][:2] == (severities, modules)


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
        assert severity in found[finding][0], finding


def test_a_module_shows_its_own():
    assert set(printed("balance")) == {
        "phases-out-of-balance", "balance-at-limit", "balance-not-known",
    }  # fmt: skip


def test_a_name_that_is_none_is_refused():
    with pytest.raises(CommandError, match='no finding and no module "balanse"'):
        call_command("findings", "balanse")
