"""What remains possible while facts are missing, against every completion worth trying.

Nothing may be missing from `possible`, nothing may stand in it that no completion gives, and
`unknown` may name only facts that can change the procedure, and all of them.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.rules import completions as search
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.connections.rules.any_site import sites
from tests.connections.rules.completing import Open, completions, fact_of, with_fact
from tests.connections.rules.plain_reading import outcome
from tests.site_files import ALL, L2, book, cells, file, limit, read, unit

OLD: dict[str, Any] = {"status": "existing", "commissioned_on": "2015-06-01"}


def opened(content: dict[str, Any], open_facts: list[Open], left_out: bool = False):
    """The site with facts made unknown: null, or left out where that is unknown too."""
    units = [dict(made) for made in content["units"]]
    for position, name in open_facts:
        if left_out and name in ("type_tested", "standard"):
            del units[position][name]
        else:
            units[position] = with_fact(units[position], name, None)
    return {**content, "units": units}


def brute(content: dict[str, Any], open_facts: list[Open]) -> tuple[set[str], set[str]]:
    """Every outcome, and the paths of the facts that alone can change it somewhere."""
    outcomes: set[str] = set()
    matter: set[str] = set()
    groups: dict[Any, set[str]] = {}
    for made in completions(content, open_facts):
        key = outcome(made)
        outcomes.add(key)
        values = tuple(fact_of(made["units"][position], name) for position, name in open_facts)
        for i, (position, name) in enumerate(open_facts):
            others = (position, name, values[:i] + values[i + 1 :])
            groups.setdefault(others, set()).add(key)
    for (position, name, _), seen in groups.items():
        if len(seen) > 1:
            alone = name in ("type_tested", "standard")
            matter.add(f"units[{position}].{'standards[0].' * alone}{name}")
    return outcomes, matter


# Sites with the facts to open. What the fact says here is overwritten.
CASES: list[tuple[str, dict[str, Any], list[Open]]] = [
    ("standing of 16 A", file(unit("a")), [(0, "type_tested")]),
    ("standard of 16 A", file(unit("a")), [(0, "standard")]),
    ("both of 16 A", file(unit("a")), [(0, "type_tested"), (0, "standard")]),
    ("standing of 9 kW", file(unit("a", 9000)), [(0, "type_tested"), (0, "standard")]),
    ("standing of 5 kW", file(unit("a", 5000)), [(0, "type_tested"), (0, "standard")]),
    ("capacity", file(unit("a")), [(0, "rated_w")]),
    ("capacity on three phases", file(unit("a", phases=ALL), phases=3), [(0, "rated_w")]),
    ("capacity with a fixed design", file(unit("a", 3000, design_w=5000)), [(0, "rated_w")]),
    ("design", file(unit("a", 3000)), [(0, "design_w")]),
    ("design and standard", file(unit("a", 3000)), [(0, "design_w"), (0, "standard")]),
    ("design and standing of 40 kW", file(unit("a", 40_000, phases=ALL), phases=3),
     [(0, "design_w"), (0, "type_tested")]),
    ("number", file(unit("a", 350)), [(0, "quantity")]),
    ("number of 3 kW beside 3 kW", file(unit("a", 3000), cells("b", 3000)), [(1, "quantity")]),
    ("capacity and number", file(unit("a", 350)), [(0, "rated_w"), (0, "quantity")]),
    ("capacity beside 16 A", file(unit("a"), cells("b")), [(1, "rated_w")]),
    ("the same with 16 A limit", file(unit("a"), cells("b"), limits=limit(16_000)),
     [(1, "rated_w")]),
    ("the same with 32 A limit", file(unit("a"), cells("b"), limits=limit(32_000)),
     [(1, "rated_w")]),
    ("the same, limit not tested",
     file(unit("a"), cells("b"), limits=limit(16_000, type_tested=False)), [(1, "rated_w")]),
    ("two capacities", file(unit("a"), cells("b")), [(0, "rated_w"), (1, "rated_w")]),
    ("two capacities with 16 A limit", file(unit("a"), cells("b"), limits=limit(16_000)),
     [(0, "rated_w"), (1, "rated_w")]),
    ("capacity and standing beside 16 A", file(unit("a"), cells("b")),
     [(1, "rated_w"), (1, "type_tested"), (0, "type_tested")]),
    ("capacity of one, standing of the other",
     file(unit("a"), cells("b"), limits=limit(16_000)), [(1, "rated_w"), (0, "standard")]),
    ("date of G83 plant", file(unit("a", standard="G83", **OLD)), [(0, "commissioned_on")]),
    ("date and standard of old plant", file(unit("a", **OLD), cells("b", 3000)),
     [(0, "commissioned_on"), (0, "standard")]),
    ("date, standard and standing", file(unit("a", **OLD), limits=limit(16_000)),
     [(0, "commissioned_on"), (0, "standard"), (0, "type_tested")]),
    ("date of G98 plant", file(unit("a", **OLD)), [(0, "commissioned_on")]),
    ("one of two synchronous", file(unit("a", 400_000, kind="synchronous", phases=ALL),
     unit("b", 400_000, kind="synchronous", phases=ALL), phases=3), [(1, "rated_w")]),
    ("wind beside 400 kW", file(unit("a", 400_000, phases=ALL),
     unit("b", 1, kind="asynchronous", phases=ALL), phases=3), [(1, "rated_w")]),
    ("high voltage", file(unit("a"), supply={"voltage_level": "HV"}), [(0, "rated_w")]),
    ("high voltage standing", file(unit("a"), supply={"voltage_level": "HV"}),
     [(0, "type_tested"), (0, "standard")]),
    ("neighbours", file(unit("a"), nearby={"premises": 1}), [(0, "standard")]),
    ("can island", file(unit("a", can_island=True)), [(0, "standard")]),
    ("no inverter", file(unit("a", kind="synchronous")), [(0, "standard"), (0, "rated_w")]),
    ("already above 10 MW", file(unit("a", 10_000_000, phases=ALL), unit("b"), phases=3),
     [(1, "rated_w"), (1, "type_tested"), (1, "standard")]),
    ("removed", file(unit("a"), unit("b", status="removed")),
     [(1, "rated_w"), (1, "type_tested"), (1, "standard")]),
    ("split, one phase open", file(unit("a"), unit("b", phases=L2), phases=2), [(1, "rated_w")]),
    # One unit alone never has sums above 16 A while it keeps 16 A itself: no `sgi-2`.
    ("capacity and design with 16 A limit", file(unit("a"), limits=limit(16_000)),
     [(0, "rated_w"), (0, "design_w"), (0, "standard")]),
    ("two capacities on two phases with 16 A limit",
     file(unit("a"), unit("b", 1150, phases=L2, design_w=7360), phases=3, limits=limit(16_000)),
     [(0, "rated_w"), (0, "standard"), (1, "rated_w")]),
    # A certificate for another rating: 3.68 kW is tested to G98, and nothing else is to anything.
    ("capacity with a certificate for 3.68 kW",
     file({"id": "a", "source": "pv", "rated_w": 3000, "phases": ["L1"], "standards": [
         {"standard": "G98", "type_tested": "full", "rated_w": 3680}]}), [(0, "rated_w")]),
    ("capacity with a certificate for each of two",
     file({"id": "a", "source": "pv", "rated_w": 3000, "phases": ["L1"], "standards": [
         {"standard": "G99", "type_tested": "full", "rated_w": 5000},
         {"standard": "G98", "type_tested": "full", "rated_w": 3680}]}), [(0, "rated_w")]),
    # A module of two: 30 kW made for 35 kW beside what makes 50 kW or more.
    ("design beside 30 kW in the same module",
     file(unit("a", 3000, phases=ALL), unit("b", 3000, phases=ALL, design_w=22_000), phases=3),
     [(0, "design_w")]),
    ("design and capacity in one module",
     file(unit("a", 3000, phases=ALL), unit("b", 3000, phases=ALL, design_w=22_000), phases=3),
     [(0, "design_w"), (1, "rated_w")]),
    ("three phases, one open", file(unit("a"), unit("b", phases=ALL), phases=3), [(1, "rated_w")]),
]  # fmt: skip


@pytest.mark.parametrize("left_out", [False, True], ids=["null", "left out"])
@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_possible_is_exactly_what_completions_give(case, left_out):
    _, content, open_facts = case
    made = write_decision(decide(read(opened(content, open_facts, left_out)), book()))
    outcomes, matter = brute(content, open_facts)
    assert set(made.possible) == outcomes
    order = [o.key for o in book().outcomes]
    assert list(made.possible) == sorted(made.possible, key=order.index)
    if len(outcomes) == 1:
        assert made.procedure.key == made.possible[0]
        assert made.unknown == ()
    else:
        assert made.procedure.key == "undetermined"
        assert set(made.unknown) == matter
        assert len(set(made.unknown)) == len(made.unknown)


def test_a_search_that_stops_at_its_bound_says_so(monkeypatch):
    content = file(unit("a"), unit("b", phases=L2), phases=3, limits=limit(16_000))
    open_facts: list[Open] = [(0, "rated_w"), (1, "rated_w")]
    outcomes, _ = brute(content, open_facts)
    site = read(opened(content, open_facts))
    monkeypatch.setattr(search, "MOST_PARTS", 1)
    made = write_decision(decide(site, book()))
    # Nothing is missing, something may be too much, and the finding says it.
    assert set(made.possible) > outcomes
    told = next(f for f in made.findings if f.id == "undetermined")
    assert told.values["searched_all"] is False
    assert "the search stopped at its bound; some may not be real" in told.workings


FIELDS = ("type_tested", "standard", "rated_w", "design_w", "quantity", "commissioned_on")


@st.composite
def open_sites(draw: st.DrawFn) -> tuple[dict[str, Any], list[Open]]:
    """A known site and one to three of its deciding facts to forget."""
    content = draw(sites(3))
    places: list[Open] = []
    for i, made in enumerate(content["units"]):
        places += [
            (i, name)
            for name in FIELDS
            if name != "commissioned_on" or made.get("status") == "existing"
        ]
    wanted = draw(st.lists(st.sampled_from(places), min_size=1, max_size=3, unique=True))
    for i, made in enumerate(content["units"]):
        # A line stands for plant that is there: an unknown number is one or more.
        if (i, "quantity") in wanted and made.get("quantity") == 0:
            made["quantity"] = 1
    return content, sorted(wanted)


@given(open_sites(), st.data())
def test_every_completion_lands_in_possible(site, data):
    content, open_facts = site
    answer = decide(read(opened(content, open_facts)), book())
    possible = answer.case.possible.outcomes
    # The site that was forgotten is one completion; another is drawn from the same facts.
    assert outcome(content) in possible
    other = data.draw(sites(3))["units"][0]
    units = [dict(made) for made in content["units"]]
    for position, name in open_facts:
        if name in other and name != "quantity":
            units[position] = with_fact(units[position], name, other[name])
    assert outcome({**content, "units": units}) in possible
    if len(possible) == 1:
        assert answer.procedure == possible[0]


def test_many_open_facts_are_still_searched_to_the_end():
    nothing: dict[str, Any] = {
        "type_tested": None,
        "standard": None,
        **OLD,
        "commissioned_on": None,
    }
    units = [unit(f"u{i}", None, **nothing) for i in range(12)]
    possible = decide(read(file(*units)), book()).case.possible
    assert possible.complete
    assert possible.outcomes == (
        "g98-single", "sgi-1", "sgi-3", "g99-short", "g99-full-a", "g99-full-b", "beyond",
    )  # fmt: skip
    assert set(possible.unknown) == {
        f"units[{i}].{name}"
        for i in range(12)
        for name in (
            "rated_w",
            "standards[0].type_tested",
            "standards[0].standard",
            "commissioned_on",
        )
    }


@given(open_sites())
def test_possible_of_any_site_is_what_completions_give(site):
    content, open_facts = site
    numbers = [name for _, name in open_facts if name in ("rated_w", "quantity", "design_w")]
    if len(numbers) > 1:
        open_facts = [fact for fact in open_facts if fact[1] != "rated_w"][:2]
    answer = decide(read(opened(content, open_facts)), book())
    outcomes, _ = brute(content, open_facts)
    assert answer.case.possible.complete
    assert set(answer.case.possible.outcomes) == outcomes
