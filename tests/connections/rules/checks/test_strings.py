"""Strings of panels on their trackers; arithmetic beside each."""

from decimal import Decimal
from typing import Any

import pytest

from tests.connections.rules.checks.checking import added, check, checks, sentences
from tests.site_files import file, unit

PANEL = {
    "voc_mv": 49_500, "vmp_mv": 41_400, "isc_ma": 13_900, "imp_ma": 13_000,
    "peak_w": 540, "voc_ppm_k": -2700, "isc_ppm_k": 500,
}  # fmt: skip
INPUT = {
    "tracker": 1, "max_mv": 600_000, "window_min_mv": 80_000, "window_max_mv": 550_000,
    "max_operating_ma": 16_000, "max_short_circuit_ma": 20_000,
}  # fmt: skip
AT = "inv-1, tracker 1"


def site(
    series: int = 10,
    parallel: int = 1,
    *,
    panel: Any = PANEL,
    dc: Any = INPUT,
    strings: Any = None,
    overrides: Any = (),
    **facts: Any,
) -> dict[str, Any]:
    """A unit with one tracker, and one kind of strings on it."""
    wired = strings or [{"tracker": 1, "in_series": series, "in_parallel": parallel}]
    array: dict[str, Any] = {"unit_id": "inv-1", "peak_w": None, "strings": wired}
    if panel is not None:
        array["panel"] = panel
    inputs: dict[str, Any] = {} if dc is None else {"dc_inputs": [dc]}
    more: dict[str, Any] = {"overrides": list(overrides)} if overrides else {}
    return file(unit(**inputs, **facts), arrays=[array], **more)


def of_strings(content: dict[str, Any]) -> dict[str, str]:
    """The result of every check of strings by its id."""
    return {one.id: one.result for one in checks(content) if one.group == "strings"}


def findings(content: dict[str, Any]) -> list[tuple[str, str]]:
    """Severity and id of the findings on strings."""
    return [(severity, id) for severity, id, _ in added(content) if "string" in id]


def test_ten_in_series_keep_every_limit():
    assert of_strings(site()) == {
        "string-voltage": "keeps", "string-window-low": "keeps", "string-window-high": "keeps",
        "string-current": "keeps", "string-short-circuit": "keeps",
    }  # fmt: skip
    assert findings(site()) == []


def test_the_voltage_at_the_coldest_cell():
    # 11 x (49.5 + 40 x 0.0027 x 49.5) = 603.306 V of 600 V; 1.15 x 544.5 = 626.175 V.
    found = check(site(11), "string-voltage")
    assert (found.value, found.limit) == (Decimal("603.306"), Decimal(600))
    assert found.result == "over"
    assert "626.18 V" in " ".join(found.workings)
    assert ("decide", "check-string-voltage", AT) in added(site(11))


def test_a_milder_place_has_a_figure_of_its_own():
    # At -10: 11 x (49.5 + 35 x 0.13365) = 595.95525 V, rounded up.
    own = {"key": "string.coldest", "value": -10, "reason": "Measured on the coast."}
    found = check(site(11, overrides=[own]), "string-voltage")
    assert (found.value, found.result) == (Decimal("595.956"), "keeps")
    assert {one.origin for one in found.inputs if one.where == "string.coldest"} == {"overridden"}


def test_below_zero_is_for_temperatures_alone():
    own = {"key": "voltage_rise.power_factor", "value": -900, "reason": "A slip."}
    assert any("is below zero" in said for said in sentences(site(overrides=[own])))


def test_the_window_informs_on_either_side():
    # Two at 70: 2 x 35.38575 = 70.7715 V, rounded down, under 80 V.
    low = check(site(2), "string-window-low")
    assert (low.value, low.result) == (Decimal("70.771"), "over")
    # Ten at -15: 467.46 V; with a window to 460 V above it.
    narrow = {**INPUT, "window_max_mv": 460_000}
    high = check(site(dc=narrow), "string-window-high")
    assert (high.value, high.result) == (Decimal("467.46"), "over")
    assert findings(site(2)) == [("inform", "caution-string-window-low")]
    assert findings(site(dc=narrow)) == [("inform", "caution-string-window-high")]


@pytest.mark.parametrize(
    ("operating", "short", "expected"),
    [
        # Two in parallel: 26 A at work, 27.8 A in a short circuit. Equal keeps.
        (26_000, 27_800, []),
        (25_999, 27_800, [("inform", "caution-string-current")]),
        (26_000, 27_799, [("stops", "check-string-short-circuit")]),
    ],
)
def test_currents_of_strings_in_parallel(operating, short, expected):
    dc = {**INPUT, "max_operating_ma": operating, "max_short_circuit_ma": short}
    assert findings(site(parallel=2, dc=dc)) == expected


def test_conductors_and_isolator_are_named():
    # 1.25 x 2 x 13.9 A = 34.75 A.
    found = check(site(parallel=2), "string-short-circuit")
    assert "Conductors and DC isolator: 1.25 × 27.8 A = 34.75 A at least" in found.workings


def test_fuses_from_three_in_parallel():
    dc = {**INPUT, "max_operating_ma": 60_000, "max_short_circuit_ma": 60_000}
    assert "string-fuses" not in of_strings(site(parallel=2, dc=dc))
    assert findings(site(parallel=3, dc=dc)) == [("inform", "caution-string-fuses")]
    # Two and one on the same tracker are three; on two trackers they are not.
    wired = [{"tracker": 1, "in_series": 10, "in_parallel": n} for n in (2, 1)]
    assert findings(site(strings=wired, dc=dc)) == [("inform", "caution-string-fuses")]
    wired[1]["tracker"] = 2
    content = site(strings=wired, dc=dc)
    content["units"][0]["dc_inputs"].append({**dc, "tracker": 2})
    assert findings(content) == []


def test_the_longest_and_the_shortest_string_of_a_tracker_count():
    # 11 and 2 in series: 603.306 V at the coldest, 70.771 V at the hottest.
    wired = [{"tracker": 1, "in_series": n, "in_parallel": 1} for n in (2, 11)]
    content = site(strings=wired)
    assert check(content, "string-voltage").value == Decimal("603.306")
    assert check(content, "string-window-low").value == Decimal("70.771")


@pytest.mark.parametrize("fitted", ["optimisers", "micro-inverters"])
def test_electronics_at_the_panels_need_no_string(fitted):
    assert of_strings(site(20, 4, panel_electronics=fitted)) == {}


def test_nothing_said_of_strings_asks_for_nothing():
    content = file(unit(), arrays=[{"unit_id": "inv-1", "peak_w": 4000, "strings": 2}])
    assert of_strings(content) == {}
    taken_out = site(20, 4)
    taken_out["arrays"][0]["status"] = "removed"
    assert of_strings(taken_out) == {}


@pytest.mark.parametrize(
    ("content", "needed"),
    [
        (site(dc=None), "what the DC inputs of inv-1 take"),
        (site(panel={k: v for k, v in PANEL.items() if k != "voc_ppm_k"}), "coefficient of"),
        # A coefficient without its minus would make a cold string safer than it is.
        (site(panel={**PANEL, "voc_ppm_k": 2700}), "which is below zero"),
        (site(panel=None), "the open-circuit voltage of panels 1"),
        (site(strings=2), "the panels in series and the tracker of each string of panels 1"),
        (site(strings=[{"tracker": 2, "in_series": 9, "in_parallel": 1}]), "what tracker 2 of"),
        (site(quantity=2), "inv-1 as one unit a line"),
        (site(panel_electronics=None), "what is fitted at the panels of inv-1"),
        (site(dc={"tracker": 1}), "the largest DC voltage of inv-1, tracker 1"),
    ],
)
def test_what_is_missing_is_one_line_of_a_unit(content, needed):
    (missing,) = [one for one in checks(content) if one.group == "strings" and one.needs]
    assert missing.result == "missing"
    assert any(needed in one for one in missing.needs), missing.needs
    assert findings(content) == [("inform", "strings-not-possible")]


def test_what_can_be_told_is_told_beside_what_is_missing():
    # Without currents the voltages are still checked.
    panel = {k: v for k, v in PANEL.items() if not k.startswith("i")}
    assert of_strings(site(11, panel=panel)) == {
        "string-voltage": "over", "string-window-low": "keeps", "string-window-high": "keeps",
        "strings": "missing",
    }  # fmt: skip
