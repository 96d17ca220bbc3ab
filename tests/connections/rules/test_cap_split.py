"""A cap on the total of several phases: said how they share it, or asked about.

5 kW is 500000/23 mA = 21.739 A on one phase and 7.246 A on each of three (5000 W / 230 V / 3).
"""

from typing import Any

import pytest

from connections.remedies.search import search
from connections.rules.decide import decide
from sites.deciding.words import margin_words
from tests.site_files import ALL, L2, L3, book, decided, decision, file, found, read, unit

ONE = unit("a", 5000)


def cap(value: int = 5000, **more):
    return {"on": "export", "value": value, "basis": "w_total", **more}


@pytest.mark.parametrize(
    ("phases", "more", "asked"),
    [
        (3, {}, True),
        (2, {}, True),
        (1, {}, False),
        (3, {"split_equally": None}, True),
        (3, {"split_equally": True}, False),
        (3, {"split_equally": False}, False),
        (3, {"until": "2026-11-23"}, False),  # ended the day before
        (3, {"until": "2026-11-24"}, True),
        (3, {"basis": "ma_per_phase", "value": 21_739}, False),
    ],
)
def test_when_it_is_asked_about(phases, more, asked):
    answer = decided(ONE, phases=phases, caps=[cap(**more)])
    assert found(answer, "cap-split-not-known") == ([("decide", "caps[0]")] if asked else [])


def test_both_currents_are_told():
    answer = decision(ONE, phases=3, caps=[cap()])
    [finding] = [f for f in answer.findings if f.id == "cap-split-not-known"]
    assert "21.74 A on one phase" in finding.sentence
    assert "7.25 A on each" in finding.sentence


# 5 kW in equal shares is 1666.67 W a phase: 5 kW on L1 is too much, a third of it on each is not.
@pytest.mark.parametrize(
    ("units", "split", "stops"),
    [
        ([unit("a", 5000)], False, False),
        ([unit("a", 5000)], True, True),
        ([unit("a", 5000, phases=ALL)], True, False),
        ([unit("a", 5001, phases=ALL)], True, True),
        ([unit("a", 1666), unit("b", 1666, phases=L2), unit("c", 1666, phases=L3)], True, False),
        ([unit("a", 1667), unit("b", 1666, phases=L2), unit("c", 1666, phases=L3)], True, True),
    ],
)
@pytest.mark.parametrize("on", ["export", "installed"])
def test_shares_are_exact(units, split, stops, on):
    answer = decided(*units, phases=3, caps=[cap(on=on, split_equally=split)])
    name = "export-above-cap" if on == "export" else "installed-above-cap"
    assert bool(found(answer, name)) is stops


@pytest.mark.parametrize(
    ("on", "what"), [("export", "The export figure"), ("installed", "The installed capacity")]
)
def test_a_share_is_told_by_its_phase(on, what):
    """9.6 kW on L1 and 3 kW on L2: 12.6 kW in all, and no figure of three times 9.6 kW."""
    units = [unit("a", 9600), unit("b", 3000, phases=L2)]
    answer = decision(*units, phases=3, caps=[cap(on=on, split_equally=True)])
    [finding] = [f for f in answer.findings if f.id.endswith("-above-cap")]
    assert finding.sentence == (
        f"{what}, counted on the fullest phase, is 9.6 kW there, above a phase's share of 1.666 kW "
        "in the operator's cap of 5 kW."
    )
    assert finding.workings.startswith("9.6 kW against 5 kW / 3 phases = 1.666 kW on each. ")
    assert "28.8" not in finding.sentence + finding.workings
    # 9.6 kW - 5 kW / 3 = 7.9333 kW, rounded away from the limit.
    assert margin_words(finding) == "7.934 kW over the limit on the fullest phase"


def test_a_share_that_is_just_passed_does_not_read_as_kept():
    answer = decision(unit("a", 1667), phases=3, caps=[cap(split_equally=True)])
    [finding] = [f for f in answer.findings if f.id == "export-above-cap"]
    assert "is 1.667 kW there, above a phase's share of 1.666 kW" in finding.sentence


def test_a_cap_in_amps_is_of_the_phase_whatever_is_said_of_shares():
    """5000 W / 230 V = 21.74 A against 16 A: no third of either."""
    amps_of: dict[str, Any] = {"value": 16_000, "basis": "ma_per_phase", "split_equally": True}
    answer = decision(ONE, phases=3, caps=[cap(**amps_of)])
    [finding] = [f for f in answer.findings if f.id == "export-above-cap"]
    assert "of 21.74 A is above the operator's cap of 16 A" in finding.sentence
    assert margin_words(finding) == "5.74 A over the limit"


def test_a_limitation_scheme_answers_shares_too():
    site = read(file(unit("a", 9000), phases=3, caps=[cap(split_equally=True)]))
    before = decide(site, book())
    remedies = search(site, before, book()).remedies
    limited = [r for r in remedies if r.kind == "export-limit"]
    assert any("export-above-cap" in remedy.clears for remedy in limited)


def test_a_limit_does_not_answer_a_cap_on_installed_capacity():
    site = read(file(unit("a", 9000), phases=3, caps=[cap(on="installed", split_equally=True)]))
    before = decide(site, book())
    for remedy in search(site, before, book()).remedies:
        assert remedy.kind != "export-limit" or "installed-above-cap" not in remedy.clears
    smaller = [r for r in search(site, before, book()).remedies if r.kind == "smaller-unit"]
    # 1666 W on L1 is the most that three shares of 5 kW leave one phase.
    assert any(change.to == 1666 for r in smaller for change in r.change)


def test_a_cap_in_amps_is_of_each_phase_whatever_is_said_of_shares():
    # 5001 W on one phase is 21.743 A.
    capped = [cap(21_739, basis="ma_per_phase", split_equally=True)]
    answer = decision(unit("a", 5001), phases=3, caps=capped)
    [finding] = [f for f in answer.findings if f.id == "export-above-cap"]
    assert finding.sentence == (
        "The export figure of 21.74 A is above the operator's cap of 21.74 A."
    )
