"""Kinds of checks that an engineer decides about when they fail."""

from collections.abc import Iterable

from connections.facts.decision import Severity, Way
from connections.rules.checks.basis.types import CheckKind, Group
from connections.rules.kinds import Kind, Values, Words


def failing(
    id: str,
    group: Group,
    question: str,
    ways: tuple[Way, ...] = (),
    severity: Severity = "decide",
    agreement: bool = True,
) -> CheckKind:
    """A kind of check with the finding of its failure, which states value and limit."""
    name = f"caution-{id}" if severity == "inform" else f"check-{id}"
    return CheckKind(
        id, group, Kind(name, severity, question, _words, ways=ways, agreement=agreement)
    )


def in_sentences(lines: Iterable[str]) -> str:
    """Join lines of workings into a paragraph."""
    return " ".join(line if line.endswith((".", "?")) else f"{line}." for line in lines)


_PASSED = {
    "over": {"at most": "over its limit of", "at least": "under its limit of"},
    "close": {
        "at most": "within one step of its limit of",
        "at least": "within one step of its limit of",
    },
}


def _words(v: Values) -> Words:
    workings = in_sentences(v["workings"])
    if v["result"] == "lacks":
        return f"{v['says'][:1].upper()}{v['says'][1:]}.", workings
    how = _PASSED[v["result"]][v["bound"]]
    return f"{v['title']} ({v['subject']}): {v['value']}, {how} {v['limit']}.", workings
