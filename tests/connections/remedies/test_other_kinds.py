"""Remedies other than limits and hybrid inverters: what is offered, and that it is no more than
needed. One step less (a watt, a unit) no longer passes.

Source of the limits: EREC G99 Issue 2, table of 6.2.2.1 and 6.2.2.2 to 6.2.2.4; 16 A at 230 V is
3.68 kW, 32 A is 7.36 kW, 60 A is 13.8 kW.
"""

from itertools import product
from typing import Any

import pytest
from msgspec import UNSET, UnsetType

from connections.facts.decision import Remedy
from connections.facts.site import Certificate, TypeTested
from connections.remedies.counting import CountedRules
from connections.remedies.kinds.pairs import pairs
from connections.remedies.kinds.tested import untested_lines
from connections.remedies.option import Model, Start
from connections.remedies.proof import to_clear
from connections.remedies.search import Found, search
from connections.rules.decide import decide
from tests.site_files import ALL, L2, L3, book, cells, changed, file, limit, read, unit


def found(content: dict[str, Any], kind: str) -> list[Remedy]:
    site = read(content)
    return [r for r in search(site, decide(site, book()), book()).remedies if r.kind == kind]


def change_of(remedy: Remedy, path: str) -> Any:
    return next(change.to for change in remedy.change if change.path == path)


def searched(content: dict[str, Any], **more: Any) -> Found:
    site = read(content)
    return search(site, decide(site, book()), book(), **more)


def certified(extent: TypeTested, standard: str | UnsetType) -> tuple[Certificate, ...]:
    return (Certificate(standard=standard, type_tested=extent),)


RATINGS = [
    # kind, site, number of the unit, [(rating W, procedure)]
    ("smaller-unit", file(unit("a", 5000)), 0, [(3680, "g98-single")]),
    # 8 kW is 34.8 A: 7.36 kW is `sgi-3`, 3.68 kW connect and notify.
    ("smaller-unit", file(unit("a", 8000)), 0, [(7360, "sgi-3"), (3680, "g98-single")]),
    # Beside 3.68 kW: 13.8 - 3.68 = 10.12 kW a phase below 60 A; each unit at most 7.36 kW; without
    # a limit at most 32 A together: 3.68 kW.
    ("smaller-unit", file(unit("a", 8000), unit("b")), 0, [(3680, "sgi-3")]),
    # With a 32 A limit sums count to below 60 A, so the unit's own 32 A is the bound.
    ("smaller-unit", file(unit("a", 8000), unit("b"), limits=limit(32_000)), 0,
     [(7360, "sgi-3")]),
    # Three phases: 16 A a phase is 11.04 kW.
    ("smaller-unit", file(unit("a", 12_000, phases=ALL), phases=3), 0, [(11_040, "g98-single")]),
    # Held by its maker: the design capacity stays, so `sgi-1` and never G98.
    ("factory-limit", file(unit("a", 5000)), 0, [(3680, "sgi-1")]),
    # A design above 32 A is no small installation, however it is held.
    ("factory-limit", file(unit("a", 8000)), 0, []),
    # A rating that is held already: another product of that rating is connect and notify.
    ("smaller-unit", file(unit("a", 3680, design_w=5000)), 0, [(3680, "g98-single")]),
    # Nothing comes before connect and notify.
    ("smaller-unit", file(unit("a")), 0, []),
    ("factory-limit", file(unit("a")), 0, []),
    # Existing plant is not exchanged for smaller.
    ("smaller-unit",
     file(unit("a", 5000, status="existing", commissioned_on="2021-01-01")), 0, []),
]  # fmt: skip


@pytest.mark.parametrize("case", RATINGS, ids=[f"{c[0]}-{n}" for n, c in enumerate(RATINGS)])
def test_ratings_and_a_watt_more(case):
    kind, content, i, wanted = case
    offered = [
        (change_of(r, f"units[{i}].rated_w") if any(
            c.path == f"units[{i}].rated_w" for c in r.change
        ) else content["units"][i]["rated_w"], r)
        for r in found(content, kind)
        if any(c.path.startswith(f"units[{i}].") for c in r.change)
    ]  # fmt: skip
    assert sorted((w, r.procedure) for w, r in offered) == sorted(wanted)
    order = [o.key for o in book().outcomes]
    for w, remedy in offered:
        made = changed(content, remedy.change)
        assert decide(read(made), book()).procedure == remedy.procedure
        made["units"][i]["rated_w"] = w + 1
        if kind == "smaller-unit" and w + 1 > 3680 * len(made["units"][i]["phases"]):
            made["units"][i]["standards"][0]["standard"] = "G99"
        later = decide(read(made), book()).procedure
        assert order.index(later) > order.index(remedy.procedure)


def test_fewer_units_are_the_most_that_pass():
    # 10 x 0.5 kW is 21.7 A: 7 are 3.5 kW (15.2 A), 8 are 4 kW (17.4 A).
    content = file(unit("m", 500, quantity=10), arrays=[{"unit_id": "m", "panels": 20}])
    [remedy] = found(content, "fewer-units")
    assert change_of(remedy, "units[0].quantity") == 7
    assert change_of(remedy, "arrays[0].panels") == 14
    assert remedy.procedure == "g98-single"
    made = changed(content, remedy.change)
    made["units"][0]["quantity"] = 8
    assert decide(read(made), book()).procedure == "sgi-3"


def test_a_line_is_left_out_only_where_another_is_left():
    assert found(file(unit("a", 5000)), "fewer-units") == []
    [one, other] = found(file(unit("a", 3000), unit("b", 3000)), "fewer-units")
    assert (one.takes_out, other.takes_out) == (("a",), ("b",))
    assert one.procedure == other.procedure == "g98-single"


def test_an_amount_that_cannot_be_shared_is_left_unknown():
    content = file(unit("m", 500, quantity=10), arrays=[{"unit_id": "m", "peak_w": 4001}])
    [remedy] = found(content, "fewer-units")
    assert change_of(remedy, "arrays[0].peak_w") is None


def brute_force(content: dict[str, Any]) -> tuple[int, bool]:
    """The earliest procedure over every way to put single units on phases, and whether one of
    these ways has nothing left to clear that a way could clear: every way decided by the rules."""
    order = [o.key for o in book().outcomes]
    free = [i for i, u in enumerate(content["units"]) if len(u["phases"]) == 1]
    decided = []
    for way in product(ALL, repeat=len(free)):
        made = {**content, "units": [dict(u) for u in content["units"]]}
        for i, phase in zip(free, way, strict=True):
            made["units"][i]["phases"] = [phase]
        decided.append(decide(read(made), book()))
    best = min(order.index(d.procedure) for d in decided)
    return best, any(order.index(d.procedure) == best and not to_clear(d) for d in decided)


PHASES = [
    file(unit("a", 6000), unit("b", 5000), unit("c", 4000), phases=3),
    file(unit("a"), unit("b"), unit("c"), phases=3),
    file(unit("a", 6000), cells("b", 5000), unit("c", 2000, phases=L2), phases=3),
    file(unit("a", 3000), unit("b", 3000), unit("c", 3000, phases=L3), cells("d", 500), phases=3),
    file(unit("a", 6000, phases=ALL), unit("b", 3000), cells("c", 3000), phases=3),
    # The way that moves fewest leaves the phases out of balance; another one does not.
    file(unit("a", 6000), cells("b", 3680), unit("c", 4000), cells("d", 4000), phases=3),
]


@pytest.mark.parametrize("content", PHASES, ids=[str(n) for n in range(len(PHASES))])
def test_other_phases_are_the_best_of_all_ways(content):
    [remedy] = found(content, "other-phases")
    order = [o.key for o in book().outcomes]
    after = decide(read(changed(content, remedy.change)), book())
    best, clear = brute_force(content)
    assert order.index(after.procedure) == best
    assert not (clear and to_clear(after))
    assert remedy.sentence.endswith("To be designed and tested by a competent person.")


def test_no_more_units_are_moved_than_needed():
    # Three of 3.68 kW on L1 (48 A): one stays and two move, each to a phase of its own.
    [remedy] = found(file(unit("a"), unit("b"), unit("c"), phases=3), "other-phases")
    assert len([c for c in remedy.change if c.path.endswith(".phases")]) == 2
    assert remedy.procedure == "g98-single"


def test_units_of_one_line_go_to_several_phases():
    # 12 x 0.9 kW on L1 is 46.96 A; four on each phase are 3.6 kW, 15.65 A.
    content = file(
        unit("m", 900, quantity=12), phases=3, arrays=[{"unit_id": "m", "peak_w": 12_000}]
    )
    [remedy] = found(content, "other-phases")
    made = changed(content, remedy.change)
    assert sorted(u["quantity"] for u in made["units"]) == [4, 4, 4]
    assert sorted(u["phases"][0] for u in made["units"]) == ALL
    assert sum(a["peak_w"] for a in made["arrays"]) == 12_000
    assert remedy.procedure == "g98-single"


def test_balanced_units_stay_where_they_are():
    content = file(*(unit(f"u{n}", 5000, phases=[phase]) for n, phase in enumerate(ALL)), phases=3)
    assert found(content, "other-phases") == []


def test_more_ways_than_are_tried_are_said():
    content = file(*(unit(f"u{n}", 1100 + n) for n in range(12)), phases=3)
    assert "not every way" in searched(content).stopped.casefold()


def test_a_three_phase_supply_is_asked_for_and_designed():
    # 10 kW on one phase is 43.5 A; on three it is 14.5 A a phase.
    for remedy in found(file(unit("a", 10_000)), "three-phase-supply"):
        assert change_of(remedy, "supply.phases") == 3
        assert "network operator provides" in remedy.sentence
        assert remedy.sentence.endswith("To be designed and tested by a competent person.")
    reached = {r.procedure for r in found(file(unit("a", 10_000)), "three-phase-supply")}
    assert "g98-single" in reached or "sgi-1" in reached
    assert found(file(unit("a", 10_000, phases=ALL), phases=3), "three-phase-supply") == []


def test_tested_equipment():
    [remedy] = found(file(unit("a", 3000, type_tested="no")), "tested-equipment")
    assert remedy.procedure == "g98-single"
    [certificate] = change_of(remedy, "units[0].standards")
    assert (certificate.type_tested, certificate.standard) == ("full", "G98")
    # Above 16 A the standard is G99.
    [remedy] = found(file(unit("a", 5000, type_tested="part", standard="G99")), "tested-equipment")
    [certificate] = change_of(remedy, "units[0].standards")
    assert (remedy.procedure, certificate.type_tested) == ("sgi-3", "full")
    # Tested to the other standard: G98 equipment is connect and notify.
    [remedy] = found(file(unit("a", 3000, standard="G99")), "tested-equipment")
    [certificate] = change_of(remedy, "units[0].standards")
    assert (remedy.procedure, certificate.standard) == ("g98-single", "G98")
    assert found(file(unit("a")), "tested-equipment") == []


def test_where_the_text_is_ambiguous_the_operator_is_asked():
    content = file(unit("a"), cells("b"), limits=limit(16_000))  # exactly 32 A
    [remedy] = found(content, "ask-operator")
    assert remedy.change == ()
    assert remedy.procedure == "sgi-2"
    assert found(file(unit("a"), cells("b", 3679), limits=limit(16_000)), "ask-operator") == []


# 2 x 5 kW, not tested. Tested alone they are 43.5 A without a limit; a limit, a smaller rating or
# fewer of them are of no use to what is not tested. Two changes together reach something.
PAIR = file(unit("a", 5000, quantity=2, type_tested="no"))


def test_two_changes_where_one_does_not_do():
    offered = {r.kind: r for r in searched(PAIR).remedies}
    assert all(" and " in kind for kind in offered)
    order = [o.key for o in book().outcomes]
    for remedy in offered.values():
        after = decide(read(changed(PAIR, remedy.change)), book())
        assert after.procedure == remedy.procedure
        assert order.index(after.procedure) < order.index("g99-short")
    limited = offered["tested-equipment and export-limit"]
    assert limited.procedure == "sgi-3"
    assert "fully type-tested equipment in place of a with a fully type-tested limitation" in (
        limited.sentence.replace("Fully", "fully")
    )
    # With tested units, two of 1.84 kW are 16 A: a watt more is not.
    smaller = offered["tested-equipment and smaller-unit"]
    assert change_of(smaller, "units[0].rated_w") in (1840, 3680)


def test_two_changes_are_not_looked_for_where_one_does():
    content = file(unit("a", 5000), unit("b", 5000))
    kinds = {r.kind for r in searched(content).remedies}
    assert "export-limit" in kinds
    assert all(" and " not in kind for kind in kinds)


def test_the_search_says_that_it_stopped_early():
    result = searched(file(unit("a", 8000), cells("b", 8000)), most=10)
    assert result.asked == 10
    assert "stopped after 10 questions" in result.stopped


CATALOGUE = (
    Model("Invented H3", "pv+storage", 3600, 1, standards=certified("full", "G98")),
    Model("Invented H5", "pv+storage", 5000, 1, standards=certified("full", "G99")),
    Model("Invented H3 of three phases", "pv+storage", 3600, 3, standards=certified("full", "G98")),
    Model("Invented untested", "pv+storage", 3000, 1, standards=certified("no", UNSET)),
    Model("Invented PV", "pv", 3000, 1, standards=certified("full", "G98")),
)


def test_what_fits_of_the_catalogue():
    content = file(unit("a", 5000), cells("b", 5000))
    fits = {
        r.procedure: r.fits
        for r in searched(content, catalogue=CATALOGUE).remedies
        if r.kind == "shared-inverter"
    }
    assert fits == {
        "g98-single": ("Invented H3",),
        "sgi-3": ("Invented H3", "Invented H5"),
    }


def test_two_changes_of_one_kind_are_no_pair():
    # Each of 9 kW may be exchanged for a smaller one; both exchanged are one kind of change.
    made = read(file(unit("a", 9000), unit("b", 9000)))
    start = Start(made, decide(made, book()), CountedRules(book(), 10_000))
    kinds = [(first.kind, second.kind) for first, second in pairs(start)]
    assert "smaller-unit" in {first for first, _ in kinds} & {second for _, second in kinds}
    assert all(first != second for first, second in kinds)


def test_equipment_of_the_largest_size_can_be_tested():
    # The definition of fully type tested ends at 50 kW, that size included.
    for rated_w, could_be in ((50_000, True), (50_001, False)):
        content = file(unit("a", rated_w, phases=ALL, type_tested="no"), phases=3)
        made = read(content)
        start = Start(made, decide(made, book()), CountedRules(book(), 100))
        assert bool(untested_lines(start)) is could_be


def test_no_change_puts_the_phases_out_of_balance():
    # 9, 8 and 8 kW are 1 kW apart; without the largest unit the others are 8 kW (34.8 A) above
    # nothing, over the 32 A of EREC G99 7.5.3. That would be an earlier procedure, and no remedy.
    others = [unit(f"{phase}{n}", 4000, phases=[phase]) for phase in ("L2", "L3") for n in (1, 2)]
    content = file(unit("a", 9000), *others, phases=3, limits=limit(32_000))
    assert decide(read(content), book()).procedure == "g99-short"
    made = {**content, "units": content["units"][1:]}
    assert decide(read(made), book()).procedure == "sgi-3"
    assert ("a",) not in [remedy.takes_out for remedy in searched(content).remedies]


def test_three_phase_units_are_told_only_where_they_reach_more():
    # 3 x 3.68 kW, 16 A on each phase once moved: new units would be connect and notify as well.
    [remedy] = found(file(unit("a"), unit("b"), unit("c")), "three-phase-supply")
    assert remedy.procedure == "g98-single"
    assert "three-phase units" not in remedy.sentence
