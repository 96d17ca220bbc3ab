"""What a finding's basis stands for: an engineer's decision counts only while it is equal.

So whenever two sites give a finding of the same id, subject and basis, it must say the same.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.facts.decision import Finding
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.connections.rules.any_site import certificates, limits, sites, units
from tests.connections.rules.completing import with_fact
from tests.site_files import book, decision, file, limit, read, unit

# Decided by facts that stand outside the site file: the rulebook, in whole or for one value.
OF_THE_RULEBOOK = {"uncertain-value", "uncertain-values"}


def findings(content: dict[str, Any]) -> dict[tuple[str, str], Finding]:
    made = write_decision(decide(read(content), book()))
    return {(f.id, f.subject): f for f in made.findings if f.id not in OF_THE_RULEBOOK}


OF_A_UNIT: dict[str, list[Any]] = {
    "rated_w": [None, 1840, 3680, 3681, 7360, 7361, 13_800, 17_001],
    "design_w": [None, 3681, 7361, 50_001],
    "rated_ma": [None, 8000, 16_001, 33_000],
    "quantity": [None, 1, 2],
    "type_tested": [None, "full", "part"],
    "standard": [None, "G98", "G99"],
    "status": ["proposed", "removed"],
    "kind": [None, "inverter", "synchronous"],
    "can_island": [None, False, True],
    "operating_mode": [None, "long-term-parallel", "switched"],
    "limited_by": [None, "maker", "software"],
    "type_test_reference": [None, "", "x"],
}
OF_THE_SUPPLY: list[tuple[str, Any]] = [
    ("voltage_level", "HV"),
    ("voltage_level", None),
    ("nominal_v", 240),
    ("looped", True),
    ("export_capacity_va", 3680),
    ("voltage_optimiser", True),
]


@st.composite
def changes(draw: st.DrawFn, content: dict[str, Any]) -> dict[str, Any]:
    """The site with one thing about it changed."""
    made = list(content["units"])
    kind = draw(st.sampled_from(["field", "field", "field", "unit", "limit", "nearby", "supply"]))
    if kind == "unit":
        more = draw(units(f"more-{len(made)}", content["supply"]["phases"]))
        return {**content, "units": [*made, more]}
    if kind == "limit":
        return {**content, "limits": {"export": draw(limits)}}
    if kind == "nearby":
        return {**content, "nearby": {"premises": draw(st.sampled_from([0, 1, 2, None]))}}
    if kind == "supply":
        name, value = draw(st.sampled_from(OF_THE_SUPPLY))
        return {**content, "supply": {**content["supply"], name: value}}
    i = draw(st.integers(0, len(made) - 1))
    name = draw(st.sampled_from(sorted(OF_A_UNIT)))
    made[i] = with_fact(made[i], name, draw(st.sampled_from(OF_A_UNIT[name])))
    if "standards" in made[i] and draw(st.booleans()):
        made[i]["standards"] = draw(
            st.lists(certificates(made[i]["rated_w"] or 1), min_size=1, max_size=2)
        )
    if name == "status":
        made[i].pop("commissioned_on", None)
    return {**content, "units": made}


@given(st.data())
def test_the_same_basis_says_the_same(data):
    content = data.draw(sites(3))
    if data.draw(st.booleans()):
        content = data.draw(changes(content))
    before = findings(content)
    after = findings(data.draw(changes(content)))
    for key in before.keys() & after.keys():
        if before[key].basis == after[key].basis:
            assert before[key].values == after[key].values
            assert before[key].severity == after[key].severity


@pytest.mark.parametrize(
    ("id", "before", "after"),
    [
        # What a decision on neighbours meant for a connect-and-notify site is not what it means
        # for an installation on which the text is silent.
        ("neighbours", file(unit("a"), nearby={"premises": 1}),
         file(unit("a", standard="G99"), nearby={"premises": 1})),
        ("neighbours", file(nearby={"premises": 1}), file(nearby={"premises": 2})),
        # 33 A declared: over the 16 A of connect and notify, or over 32 A of another procedure.
        ("declared-current", file(unit("a", 3000, rated_ma=33_000)),
         file(unit("a", 3000, rated_ma=33_000), unit("b", 3000))),
        ("boundary", file(unit("a"), unit("b"), limits=limit(16_000)),
         file(unit("a"), unit("b"), limits=limit(15_000))),
        ("software-cap", file(unit("a", 3680, design_w=5000, limited_by="software")),
         file(unit("a", 3680, design_w=6000, limited_by="software"))),
        ("no-register-reference", file(unit("a", type_test_reference=None)),
         file(unit("a", type_test_reference=""))),
    ],
)  # fmt: skip
def test_a_fact_that_was_read_changes_the_basis(id, before, after):
    bases = [
        next(f.basis for f in write_decision(decide(read(content), book())).findings if f.id == id)
        for content in (before, after)
    ]
    assert bases[0] != bases[1]


def test_facts_that_were_not_read_leave_the_basis_alone():
    plain, told = (
        decision(unit("a", type_tested="no"), supply=supply, reference=reference)
        for supply, reference in (({}, "one"), ({"looped": True, "cutout_a": 80}, "two"))
    )
    for made in (plain, told):
        assert any(f.id == "not-type-tested" for f in made.findings)
    first, second = (
        next(f for f in made.findings if f.id == "not-type-tested") for made in (plain, told)
    )
    assert (first.basis, first.facts) == (second.basis, ("units[0].standards[0].type_tested",))


def test_left_out_and_unknown_are_not_the_same_basis():
    left_out, null = (
        unit("a", status="existing", standard="G83"),
        unit("a", status="existing", standard="G83", commissioned_on=None),
    )
    bases = {
        next(f.basis for f in decision(made).findings if f.id == "existing-undated")
        for made in (left_out, null)
    }
    assert len(bases) == 2
