"""Checks of small sites."""

from typing import Any

from connections.rules.checks.basis.types import Check
from connections.rules.decide import decide
from connections.rules.engineering import checks_of, with_checks
from connections.rules.writing import write_decision
from tests.site_files import book, read

BOARD = "consumer unit"


def checks(content: dict[str, Any]) -> tuple[Check, ...]:
    """Every check of a site file as plain data."""
    return checks_of(decide(read(content), book()))


def check(content: dict[str, Any], id: str, subject: str = "") -> Check:
    """The one check of this id, or of this id and subject."""
    found = [
        one for one in checks(content) if one.id == id and (not subject or one.subject == subject)
    ]
    assert len(found) == 1, [(one.id, one.subject) for one in checks(content)]
    return found[0]


def added(content: dict[str, Any]) -> list[tuple[str, str, str]]:
    """Severity, id and subject of what the checks add to the findings."""
    plain = decide(read(content), book())
    before = {(f.id, f.subject) for f in plain.findings}
    return [
        (f.severity, f.id, f.subject)
        for f in with_checks(plain).findings
        if (f.id, f.subject) not in before
    ]


def sentences(content: dict[str, Any]) -> list[str]:
    """The sentences of a decision with its checks."""
    made = write_decision(with_checks(decide(read(content), book())))
    return [finding.sentence for finding in made.findings]


def cable(to: str = "inv-1", metres: float = 25, size: str = "6", **facts: Any) -> dict[str, Any]:
    """A run of copper in thermoplastic, clipped, from the board to a unit."""
    return {
        "from": BOARD,
        "to": to,
        "unit_id": to,
        "length_mm": int(metres * 1000),
        "csa_mm2": size,
        "material": "copper",
        "insulation": "thermoplastic 70 C",
        "method": "C",
        **facts,
    }
