"""Every default that the outcome rests on stands in `assumed`."""

from typing import Any

import pytest
from hypothesis import given

from connections.rules.decide import decide
from tests.connections.rules.any_site import sites
from tests.connections.rules.plain_reading import outcome
from tests.site_files import ALL, book, cells, decided, file, limit, read, unit

# Other values for what may be left out: enough to change any outcome that they can change.
OTHERS: dict[str, list[Any]] = {
    "status": ["removed"],
    "quantity": [0, 2, 3, 5, 30, 1000],
    "kind": ["synchronous", "asynchronous"],
    "can_island": [True],
    "operating_mode": ["switched", "short-term-parallel"],
}


def with_unit(content, i, **facts):
    units = list(content["units"])
    units[i] = {**units[i], **facts}
    return {**content, "units": units}


def one_default_said_otherwise(content: dict[str, Any]):
    """The path of each default left out, with the site in which it is another value."""
    for i, made in enumerate(content["units"]):
        for name, values in OTHERS.items():
            if name not in made:
                for value in values:
                    yield f"units[{i}].{name}", with_unit(content, i, **{name: value})
        if "design_w" not in made:
            for value in (3681, 7361, 11_041, 22_081, 50_001):
                if value > made["rated_w"]:
                    yield f"units[{i}].design_w", with_unit(content, i, design_w=value)
    if "voltage_level" not in content["supply"]:
        yield "supply.voltage_level", {
            **content, "supply": {**content["supply"], "voltage_level": "HV"},
        }  # fmt: skip
    if "nearby" not in content:
        yield "nearby.premises", {**content, "nearby": {"premises": 1}}
    if "limits" not in content:
        for ma in (16_000, 32_000):
            yield "limits.export", {**content, "limits": limit(ma)}


@given(sites())
def test_a_default_that_could_change_the_outcome_is_named(content):
    answer = decide(read(content), book())
    for path, other in one_default_said_otherwise(content):
        if outcome(other) != answer.procedure:
            assert path in answer.assumed


FULL = unit(
    "a", 3000, status="proposed", kind="inverter", quantity=1, design_w=3000, can_island=False,
    operating_mode="long-term-parallel", limited_by="none",
)  # fmt: skip
ALL_SAID: dict[str, Any] = {
    "supply": {"voltage_level": "LV"},
    "nearby": {"premises": 0},
    "limits": limit(16_000),
}


def test_where_everything_is_said_nothing_is_assumed():
    assert decided(FULL, **ALL_SAID).assumed == ()


@pytest.mark.parametrize("name", [*OTHERS, "design_w"])
def test_each_default_of_a_unit_is_named_when_left_out(name):
    left_out = {key: value for key, value in FULL.items() if key != name}
    if name == "kind":
        left_out["standard"] = "G99"  # G98 takes any kind, the small installations inverters alone
    assert decided(left_out, **ALL_SAID).assumed == (f"units[0].{name}",)


def test_what_is_given_as_unknown_is_not_assumed():
    for name in ("can_island", "operating_mode", "kind", "status"):
        assert decided({**FULL, name: None}, **ALL_SAID).assumed == ()


def test_defaults_of_the_site_are_named():
    said = {key: value for key, value in ALL_SAID.items() if key != "nearby"}
    assert decided(FULL, **said).assumed == ("nearby.premises",)
    assert decided(FULL, **{**ALL_SAID, "supply": {}}).assumed == ("supply.voltage_level",)
    # 26 A: with an export limit of 16 A the procedure would be another one.
    two = {**FULL, "id": "b", "rated_w": 2990, "design_w": 2990}
    without = {key: value for key, value in ALL_SAID.items() if key != "limits"}
    assert "limits.export" in decided({**two, "id": "a"}, two, **without).assumed


def test_a_cap_of_which_nobody_says_how_is_an_assumption():
    capped = {**FULL, "design_w": 5000}
    del capped["limited_by"]
    assert decided(capped, **ALL_SAID).assumed == ("units[0].limited_by",)
    assert decided({**FULL, "design_w": 5000}, **ALL_SAID).assumed == ()


def test_removed_plant_is_not_assumed_about():
    answer = decided(FULL, unit("gone", status="removed"), **ALL_SAID)
    assert answer.assumed == ()


def test_paths_are_those_of_the_file():
    # Removed plant stands before: positions are those of the file, not of what is counted.
    answer = decided(unit("gone", status="removed"), cells("b", 3000), **ALL_SAID)
    assert "units[1].quantity" in answer.assumed
    big = decided(unit("a", 400_000, phases=ALL), phases=3)
    assert "units[0].kind" in big.assumed  # synchronous units are modules of their own


def test_file_is_what_the_example_uses():
    assert outcome(file(FULL, **ALL_SAID)) == "g98-single"
