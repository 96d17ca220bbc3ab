"""What the demo prints, from decisions made up for the purpose."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from sites.management.commands.demo import describe, file_name, worth_printing


def decision(*findings: tuple[str, str], reference: str = "D-1"):
    """As much of a decision as the demo reads: (severity, sentence) for each finding."""
    return SimpleNamespace(
        reference=reference,
        procedure=SimpleNamespace(key="sgi-3", title="Application, short form"),
        findings=tuple(
            SimpleNamespace(severity=severity, sentence=sentence) for severity, sentence in findings
        ),
    )


def test_a_site_with_findings():
    found = decision(
        ("inform", "Not printed."),
        ("decide", "The service is looped."),
        ("stops", "L3 is not on the supply."),
        ("decide", "It stands at the limit."),
    )
    assert describe(found).splitlines() == [
        "D-1",
        "  procedure  sgi-3: Application, short form",
        "  flagged    1 stops, 2 decide, 1 inform",
        "  stops      L3 is not on the supply.",
        "  decide     The service is looped.",
        "  decide     It stands at the limit.",
    ]


def test_a_site_with_nothing_flagged():
    assert describe(decision()).splitlines()[-1] == "  flagged    nothing"


def test_long_sentences_are_wrapped_below_their_start():
    lines = describe(decision(("stops", "word " * 60))).splitlines()
    assert max(map(len, lines)) <= 100
    assert len(lines) == 3 + 4  # 60 words of 5 columns, 17 to a line of 87
    assert all(line.startswith(" " * 13 + "word") for line in lines[4:])


@pytest.mark.parametrize(
    ("severities", "chosen"),
    [(["inform"], 0), (["stops", "decide"], 1), (["stops", "stops"], 0)],
)
def test_the_pack_is_that_of_the_first_site_which_nothing_stops(severities, chosen):
    decisions = {
        Path(str(number)): decision((severity, "")) for number, severity in enumerate(severities)
    }
    assert worth_printing(decisions) == Path(str(chosen))


@pytest.mark.parametrize(
    ("reference", "name"),
    [("D-1", "D-1"), ("../../x", "x"), ("a b/c", "a-b-c"), ("..", "site"), ("é", "site")],
)
def test_a_reference_becomes_a_harmless_file_name(reference, name):
    assert file_name(reference) == name
