"""Sites that installers meet, each decided and held against what a practitioner expects of it.

The situations stand in the files beside this one; how to read them at the head of `old_plant.toml`.
"""

import json
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from connections.assessing import Assessor
from connections.facts.decision import Decision, Step
from tests.site_files import ON

SITUATIONS = [
    situation
    for path in sorted(Path(__file__).parent.glob("*.toml"))
    for situation in tomllib.loads(path.read_text("utf-8"))["situation"]
]
EXPECTED = {
    "procedure",
    "procedure_not",
    "possible",
    "boundary",
    "other_reading",
    "findings",
    "without",
    "reads",
    "steps",
    "steps_without",
    "words",
    "amps",
    "total_w",
}


@cache
def assessor() -> Assessor:
    """The shipped rulebooks."""
    return Assessor()


def plain(value: Any) -> Any:
    """A value of the table as a value of the site file: "null" is null."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return None if value == "null" else value


def completed(site: dict[str, Any]) -> dict[str, Any]:
    """The site file of a situation: what the table leaves out is added."""
    units = []
    for number, given in enumerate(site["units"], 1):
        unit = {"id": f"u{number}", **given}
        if standard := unit.pop("tested", None):
            unit["standards"] = [
                {"standard": standard, "reference": "invented 0001", "type_tested": "full"}
            ]
        units.append(unit)
    return {
        "format": "site/1",
        "reference": "T-1 (invented)",
        "on_date": ON.isoformat(),
        "premises": {"nation": "england", "licence_area": "gb-14"},
        **site,
        "supply": {"phases": 1, **site.get("supply", {})},
        "units": units,
    }


def decided(site: dict[str, Any]) -> Decision:
    """What the one pipeline decides, with electrical checks and in words."""
    read = assessor().site(json.dumps(plain(completed(site))))
    return assessor().decide(read).decision


def fits(step: Step, wanted: str) -> bool:
    """Whether a step is as wanted: "when/what", "wait", and words of its form after a colon."""
    head, _, form = wanted.partition(":")
    place, _, wait = head.partition(" ")
    when, what = place.split("/")
    return (
        when in ("*", step.when)
        and what in ("*", step.what)
        and (not wait or step.wait)
        and form.strip().casefold() in step.form.casefold()
    )


def differences(answer: Decision, expect: dict[str, Any]) -> Iterator[str]:
    """What the decision does not have as expected."""
    procedure = answer.procedure
    if procedure.key != expect.get("procedure", procedure.key):
        yield f"procedure {procedure.key}, expected {expect['procedure']}"
    if procedure.key in expect.get("procedure_not", ()):
        yield f"procedure {procedure.key}, which must not be"
    if "procedure" in expect and procedure.boundary != expect.get("boundary", False):
        yield f"boundary {procedure.boundary}, by the other reading {procedure.other_reading}"
    if procedure.other_reading != expect.get("other_reading", procedure.other_reading):
        yield f"other reading {procedure.other_reading}, expected {expect['other_reading']}"
    if "possible" in expect and set(answer.possible) != set(expect["possible"]):
        yield f"possible {sorted(answer.possible)}, expected {sorted(expect['possible'])}"
    there = {f.id for f in answer.findings} | {f"{f.id}:{f.severity}" for f in answer.findings}
    for wanted in expect.get("findings", ()):
        if wanted not in there:
            yield f"no finding {wanted}"
    for barred in expect.get("without", ()):
        if barred in there:
            yield f"finding {barred}, which must not be"
    read = {f"{path}:{f.severity}" for f in answer.findings for path in f.facts}
    for wanted in expect.get("reads", ()):
        if wanted not in read:
            yield f"no finding that read {wanted}"
    for wanted in expect.get("steps", ()):
        if not any(fits(step, wanted) for step in answer.steps):
            yield f"no step {wanted}"
    for barred in expect.get("steps_without", ()):
        if any(fits(step, barred) for step in answer.steps):
            yield f"a step {barred}, which must not be"
    words = " ".join(
        [f"{f.sentence} {f.workings}" for f in answer.findings]
        + [" ".join((s.form, s.says, *s.attachments, *s.notes)) for s in answer.steps]
    )
    for wanted in expect.get("words", ()):
        if wanted not in words:
            yield f"the words {wanted} nowhere"
    if "amps" in expect:
        amps = {
            phase: None if ma is None else f"{ma // 1000}.{ma % 1000:03d}"
            for phase, ma in answer.per_phase_ma.items()
        }
        if amps != expect["amps"]:
            yield f"amps {amps}, expected {expect['amps']}"
    if answer.total_w != expect.get("total_w", answer.total_w):
        yield f"{answer.total_w} W in all, expected {expect['total_w']} W"


@pytest.mark.parametrize("situation", [pytest.param(s, id=s["id"]) for s in SITUATIONS])
def test_the_rules_answer_as_a_practitioner_expects(situation: dict[str, Any]) -> None:
    answer = decided(situation["site"])
    wrong = list(differences(answer, situation["expect"]))
    assert not wrong, "\n".join(
        [
            "",
            f"told: {situation['told']}",
            f"why: {situation['why']}",
            *(f"- {line}" for line in wrong),
            f"findings: {', '.join(sorted(f'{f.id}:{f.severity}' for f in answer.findings))}",
            *(f"step: {s.when}/{s.what} wait={s.wait}: {s.form}" for s in answer.steps),
        ]
    )


def test_every_situation_is_told_once_and_expects_something() -> None:
    ids = [situation["id"] for situation in SITUATIONS]
    assert len(ids) == len(set(ids)) >= 100
    for situation in SITUATIONS:
        assert set(situation) == {"id", "told", "why", "site", "expect"}, situation["id"]
        assert set(situation["expect"]) <= EXPECTED, situation["id"]
        assert set(situation["expect"]) - {"steps_without", "without"}, situation["id"]


def test_a_wrong_expectation_is_noticed() -> None:
    """A runner that compared nothing would pass every situation."""
    answer = decided(SITUATIONS[0]["site"])
    wrong = {
        "procedure": "beyond",
        "procedure_not": [answer.procedure.key],
        "possible": ["beyond"],
        "boundary": not answer.procedure.boundary,
        "other_reading": "beyond",
        "findings": ["no-such-finding"],
        "without": [answer.findings[0].id],
        "reads": ["no.such.path:decide"],
        "steps": ["before-work/notification: no such form"],
        "steps_without": ["*/*"],
        "words": ["no such words"],
        "amps": {"L1": "1.000"},
        "total_w": 1,
    }
    assert set(wrong) == EXPECTED
    assert len(list(differences(answer, wrong))) == len(EXPECTED)
