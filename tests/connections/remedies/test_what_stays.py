"""What still stops a site after a remedy is said, and remedies that leave a stop come last.

16 A at 230 V is 3.68 kW; connect and notify holds up to 16 A a phase (EREC G98 Issue 2, 1.1).
"""

from typing import Any

import pytest

from connections.facts.decision import Remedy
from connections.remedies.search import search
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.site_files import ALL, L2, book, cells, changed, file, found, limit, read, unit


def remedies(content: dict[str, Any]) -> tuple[Remedy, ...]:
    site = read(content)
    return search(site, decide(site, book()), book()).remedies


def cap(on: str, value: int, basis: str = "w_total") -> dict[str, Any]:
    return {"on": on, "value": value, "basis": basis}


# 5.5 kW and 3.9 kW are 9.4 kW, above a cap of 5 kW on export, however many phases there are.
CAPPED = file(unit("pv-1", 5500), cells("bat-1", 3900), caps=[cap("export", 5000)])


def test_it_is_said_what_still_stops():
    supplies = [r for r in remedies(CAPPED) if r.kind == "three-phase-supply"]
    assert supplies
    for supply in supplies:
        assert supply.leaves == ("export-above-cap",)
        assert "The operator's cap on export still stops it." in supply.sentence
    for remedy in remedies(CAPPED):
        after = decide(read(changed(CAPPED, remedy.change)), book())
        assert set(remedy.leaves) == {name for name, _ in after.stops}
        assert (" still stops it" in remedy.sentence) == bool(remedy.leaves)


def test_those_that_leave_a_stop_come_last():
    stopped = [bool(remedy.leaves) for remedy in remedies(CAPPED)]
    assert stopped == sorted(stopped)
    assert set(stopped) == {False, True}


def test_several_stops_are_named_together():
    # 17.5 kW on one phase is above the 17 kW of a single-phase supply and above both caps of 1 kW;
    # a three-phase supply answers the first.
    content = file(unit("a", 17_500), caps=[cap("export", 1000), cap("installed", 1000)])
    supply = next(r for r in remedies(content) if r.kind == "three-phase-supply")
    assert supply.clears == ("supply-cap",)
    assert (
        "The operator's cap on export and the operator's cap on installed capacity still stop it."
        in supply.sentence
    )


def test_a_cap_in_amps_is_of_the_phases_that_are_there():
    # 16 A on the one phase is 3.68 kW. 7.36 kW in all stays above it, on three phases as well,
    # where each would carry 7360 / 230 / 3 = 10.667 A.
    content = file(
        unit("a", 3680), cells("b", 3680), caps=[cap("installed", 16_000, "ma_per_phase")]
    )
    for remedy in remedies(content):
        if remedy.kind == "three-phase-supply":
            assert "installed-above-cap" not in remedy.clears
    wide = file(
        unit("a", 7360, phases=ALL),
        phases=3,
        supply={"now_phases": 1},
        caps=[cap("installed", 16_000, "ma_per_phase")],
    )
    answer = decide(read(wide), book())
    assert found(answer, "installed-above-cap") == [("stops", "caps[0]")]


@pytest.mark.parametrize(
    ("now", "watts", "stops"),
    [
        (1, 3680, False),  # 16 A x 230 V
        (1, 3681, True),
        (2, 7360, False),
        (2, 7361, True),
        (3, 11_040, False),  # a supply that stays three-phase: 16 A on each
        (3, 11_041, True),
        (None, 11_040, False),
    ],
)
@pytest.mark.parametrize("on", ["export", "installed"])
def test_a_cap_in_amps_to_the_watt(on, now, watts, stops):
    content = file(
        unit("a", watts, phases=ALL),
        phases=3,
        supply={"now_phases": now},
        caps=[cap(on, 16_000, "ma_per_phase")],
    )
    answer = decide(read(content), book())
    name = "export-above-cap" if on == "export" else "installed-above-cap"
    assert bool(found(answer, name)) == stops


def test_the_words_of_such_a_cap():
    content = file(
        unit("a", 7360, phases=ALL),
        phases=3,
        supply={"now_phases": 1},
        caps=[cap("installed", 16_000, "ma_per_phase")],
    )
    [finding] = [
        f
        for f in write_decision(decide(read(content), book())).findings
        if f.id == "installed-above-cap"
    ]
    assert finding.sentence == (
        "The installed capacity of 7.36 kW is above the operator's cap of 16 A on the one phase "
        "that the supply has now, which is 3.68 kW in all."
    )
    assert "supply.now_phases" in finding.facts


def test_a_limit_keeps_a_cap_in_amps_of_the_supply_that_is_there():
    content = file(
        unit("a", 7360, phases=ALL),
        phases=3,
        supply={"now_phases": 1},
        caps=[cap("export", 16_000, "ma_per_phase")],
    )
    limits = [r for r in remedies(content) if r.kind == "export-limit"]
    assert [r.change[0].to for r in limits] == [3680]
    assert limits[0].name == "Export limit 3.68 kW"


def test_a_supply_with_more_phases_is_asked_for():
    wide = next(r for r in remedies(file(unit("a", 10_000))) if r.kind == "three-phase-supply")
    changes = {change.path: change.to for change in wide.change}
    assert (changes["supply.phases"], changes["supply.now_phases"]) == (3, 1)
    after = decide(read(changed(file(unit("a", 10_000)), wide.change)), book())
    assert found(after, "supply-change") == [("decide", "supply")]
    assert "No need to wait" not in wide.sentence
    assert "You must wait for the new supply; no date is given." in wide.sentence


def test_ids_of_units_keep_their_letters():
    moved = next(
        r
        for r in remedies(file(unit("pv-1"), cells("bat-1"), unit("inv-3"), phases=3))
        if r.kind == "other-phases"
    )
    assert moved.sentence.startswith(moved.name)
    assert moved.name[0].islower()
    held = next(r for r in remedies(file(unit("pv-1", 5000))) if r.kind == "factory-limit")
    assert held.sentence.startswith("pv-1 (5 kW) held to 3.68 kW by its maker")


def test_asking_the_operator_comes_first_of_those_that_leave_no_stop():
    # 32 A in all: the one reading of 6.2.2.3 lets it in, the other does not.
    content = file(unit("a"), cells("b"), limits=limit(16_000))
    assert remedies(content)[0].kind == "ask-operator"


def test_what_loses_nothing_comes_first_and_then_the_least():
    # 7 + 3.68 = 10.68 kW on L1, 1 kW on L2: 46.4 A apart, above 32 A. 11.68 kW in all.
    content = file(
        unit("pv-1", 7000), cells("bat-1", 3680), unit("pv-2", 1000, phases=L2), phases=3
    )
    assert [(remedy.kind, remedy.name) for remedy in remedies(content)] == [
        ("other-phases", "pv-1 on L3"),  # nothing
        ("export-limit", "Export limit 32 A a phase"),  # no plant, 3.32 kW of export
        ("factory-limit", "pv-1 held to 3.68 kW"),  # 7 - 3.68 = 3.32 kW
        ("smaller-unit", "pv-1 of 3.68 kW"),
        ("fewer-units", "Without bat-1"),  # 3.68 kW
        ("shared-inverter", "One hybrid inverter, 7.36 kW"),  # 11.68 - 7.36 = 4.32 kW
        ("fewer-units", "Without pv-1"),  # 7 kW
        ("shared-inverter", "One hybrid inverter, 3.68 kW"),  # 8 kW
    ]


def test_a_limit_leaves_the_phases_as_far_apart():
    # Plant stays as it is under a limit, and so does what it puts on each phase.
    content = file(
        unit("pv-1", 7000), cells("bat-1", 3680), unit("pv-2", 1000, phases=L2), phases=3
    )
    stays = {r.kind for r in remedies(content) if "stay out of balance" in r.sentence}
    assert stays == {"export-limit"}


def test_a_larger_supply_comes_last():
    """It loses no power, but has a price and takes a time of its own (our choice)."""
    kinds = [remedy.kind for remedy in remedies(file(unit("a", 5000), cells("b", 5000)))]
    assert "three-phase-supply" in kinds
    supplies = [kind == "three-phase-supply" for kind in kinds]
    assert supplies == sorted(supplies)


# 3.68 - 3.3 = 0.38 kW is left beside 3.3 kW; 0.18 kW beside 3.5 kW is less than a tenth of 3 kW.
@pytest.mark.parametrize(("beside", "offered"), [(3300, [380]), (3500, [])])
def test_next_to_nothing_is_not_worth_telling(beside, offered):
    content = file(unit("a", 3000), unit("b", beside))
    for kind in ("factory-limit", "smaller-unit"):
        told = [
            change.to
            for remedy in remedies(content)
            if remedy.kind == kind
            for change in remedy.change
            if change.path == "units[0].rated_w"
        ]
        assert told == offered, kind


NAMES = [
    (file(unit("pv-1"), cells("bat-1", 3600)), "shared-inverter", "One hybrid inverter, 3.68 kW"),
    (file(unit("a"), cells("b", 3680)), "export-limit", None),
    (file(unit("a", 5000), caps=[cap("export", 3680)]), "export-limit", "Export limit 3.68 kW"),
    (
        file(unit("a", 5000), caps=[cap("export", 16_000, "ma_per_phase")]),
        "export-limit",
        "Export limit 16 A",
    ),
    (file(unit("a", 10_000)), "three-phase-supply", "Three-phase supply and units"),
    (file(unit("a", 5000)), "smaller-unit", "a of 3.68 kW"),
    (file(unit("a", 5000)), "factory-limit", "a held to 3.68 kW"),
    (file(unit("m", 500, quantity=10)), "fewer-units", "7 units of m"),
    (file(unit("a", 3000, type_tested="no")), "tested-equipment", "a fully type tested"),
]


@pytest.mark.parametrize(("content", "kind", "name"), NAMES, ids=[n[1] for n in NAMES])
def test_what_was_changed_in_a_few_words(content, kind, name):
    names = [remedy.name for remedy in remedies(content) if remedy.kind == kind]
    assert name in names if name is not None else names == []


def test_a_three_phase_unit_is_another_product():
    content = file(unit("a", 10_000, maker="Invented", rated_ma=43_479))
    wide = next(r for r in remedies(content) if r.name == "Three-phase supply and units")
    made = changed(content, wide.change)["units"][0]
    assert list(made["phases"]) == ALL
    assert "maker" not in made
    assert "rated_ma" not in made
    # 10 kW on three phases is 14.5 A, below the 16 A of G98.
    [certificate] = made["standards"]
    assert (certificate["standard"], certificate["reference"]) == ("G98", "to be chosen")
