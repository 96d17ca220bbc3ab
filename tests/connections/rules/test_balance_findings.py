"""Phases in and out of balance: EREC G99 Issue 2, 7.5.3 and the cases of annex A.5.

At most 32 A (7360 W) between two phases for one technology alone, below 32 A for several.
"""

from typing import Any

import pytest

from connections.rules.decide import Decided
from tests.site_files import ALL, L1, L2, L3, cells, decided, found, unit

OUT, AT = "phases-out-of-balance", "balance-at-limit"


def spread(source: str, kw: tuple[float, float, float], **facts: Any) -> list[dict[str, Any]]:
    """Single-phase units of one source, so many kW on each phase."""
    return [
        unit(f"{source}-{phase[0]}", int(x * 1000), source=source, phases=phase, **facts)
        for phase, x in zip((L1, L2, L3), kw, strict=True)
        if x
    ]


def arrays(unit_id: str, *aspects: tuple[int | None, int | None]) -> list[dict[str, Any]]:
    return [{"unit_id": unit_id, "azimuth_deg": way, "peak_w": peak} for way, peak in aspects]


def told(answer: Decided) -> list[str]:
    return [f.id for f in answer.findings if f.id in (OUT, AT)]


def worst(answer: Decided) -> dict[str, Any]:
    [finding] = [f for f in answer.findings if f.id in (OUT, AT)]
    return dict(finding.values)


# Annex A.5. East and west are aspects 90 and 270, on inverters of their own.
def test_a5_in_balance():
    # PV alone 4.5, heat and power alone 6.0, together 4.5 kW: below 7.36.
    units = spread("pv", (4.5, 3, 7.5)) + spread("chp", (0, 6, 0))
    assert told(decided(*units, phases=3)) == []


def test_a5_out_of_balance_together():
    # [10.5, 3, 7.5]: 7.5 kW = 32.609 A.
    answer = decided(*spread("pv", (4.5, 3, 7.5)), *spread("chp", (6, 0, 0)), phases=3)
    assert told(answer) == [OUT]
    values = worst(answer)
    assert (values["difference_w"], values["difference_ma"]) == (7500, 32_609)
    assert (values["high"], values["low"]) == ("L1", "L2")
    assert values["running"] == ["PV", "combined heat and power"]


def east_and_west(east, west):
    """PV units on each phase, one for each aspect."""
    units, panels = [], []
    for way, kw in ((90, east), (270, west)):
        for phase, x in zip((L1, L2, L3), kw, strict=True):
            if x:
                id = f"{way}-{phase[0]}"
                units.append(unit(id, x * 1000, phases=phase))
                panels += arrays(id, (way, x * 1000))
    return decided(*units, phases=3, arrays=panels)


def test_a5_east_and_west_alike():
    # [6/6, 6/6, 5/5]: 1 kW alone, 2 kW together.
    assert told(east_and_west((6, 6, 5), (6, 6, 5))) == []


def test_a5_east_and_west_apart():
    # [12/0, 5/5, 0/12]: 12 kW alone = 52.174 A.
    answer = east_and_west((12, 5, 0), (0, 5, 12))
    assert told(answer) == [OUT]
    assert (worst(answer)["difference_w"], worst(answer)["difference_ma"]) == (12_000, 52_174)


# One technology alone: 7360 W is 32 A and still kept, a watt more is out.
@pytest.mark.parametrize(("watts", "wanted"), [(7359, []), (7360, [AT]), (7361, [OUT])])
def test_one_technology(watts, wanted):
    answer = decided(unit("a", watts), phases=3)
    assert told(answer) == wanted
    if wanted == [AT]:
        assert worst(answer)["kept"] is True


# Several: 4000 W of PV and w of storage on L1; at 7360 W together the limit itself is not kept.
@pytest.mark.parametrize(("watts", "wanted"), [(3359, []), (3360, [AT]), (3361, [OUT])])
def test_several_technologies(watts, wanted):
    answer = decided(unit("a", 4000), cells("b", watts), phases=3)
    assert told(answer) == wanted
    if wanted == [AT]:
        assert worst(answer)["kept"] is False


def test_one_at_the_limit_does_not_hide_several_above_it():
    # PV alone exactly 32 A; with storage on the same phase 7360 + 2300 = 9660 W = 42 A.
    answer = decided(unit("a", 7360), cells("b", 2300), phases=3)
    assert told(answer) == [OUT]
    assert worst(answer)["difference_ma"] == 42_000


def test_the_largest_difference_is_told():
    # PV alone 8 kW = 34.783 A; with storage 10 kW = 43.478 A.
    answer = decided(unit("a", 8000), cells("b", 2000), phases=3)
    assert worst(answer)["difference_ma"] == 43_478
    assert worst(answer)["running"] == ["PV", "storage"]


def test_one_exactly_at_the_limit_beside_a_balanced_one_is_read_strictly():
    # With the balanced storage running too it is still 32 A, and then the text says below 32 A.
    answer = decided(unit("a", 7360), cells("b", 9000, phases=ALL), phases=3)
    assert told(answer) == [AT]
    assert worst(answer)["kept"] is False


# Only on three phases, and only with a single-phase unit counted.
@pytest.mark.parametrize(
    ("units", "phases", "wanted"),
    [
        ([unit("a", 15_000)], 1, []),
        ([unit("a", 15_000)], 2, []),
        ([unit("a", 15_000)], 3, [OUT]),
        ([unit("a", 45_000, phases=ALL)], 3, []),
        ([unit("a", 20_000, phases=["L1", "L2"])], 3, []),  # no single-phase unit
        ([unit("a", 20_000, phases=["L1", "L2"]), cells("b", 1)], 3, [OUT]),
        ([unit("a", 15_000, status="removed")], 3, []),
        ([unit("a", 15_000, operating_mode="switched")], 3, []),
        ([unit("a", 7000), unit("b", 7000, phases=L2), unit("c", 7000, phases=L3)], 3, []),
    ],
)
def test_where_balance_is_asked_at_all(units, phases, wanted):
    assert told(decided(*units, phases=phases)) == wanted


def test_a_unit_of_two_aspects_is_split_by_peak_power():
    # 12 kW on L1 with 4 kWp east and 2 kWp west: 8 and 4 kW. East alone 34.8 A, together 52.2 A.
    answer = decided(unit("a", 12_000), phases=3, arrays=arrays("a", (90, 4000), (270, 2000)))
    assert worst(answer)["difference_w"] == 12_000
    assert worst(answer)["running"] == ["PV facing 270 degrees", "PV facing 90 degrees"]
    # L1 east and west 8 + 4 kW; L2 and L3 west alone, 12 kW each: in balance with all running,
    # but west alone is 12 - 4 = 8 kW = 34.783 A apart, east alone 8 - 0 = 8 kW as well.
    units = unit("a", 12_000), unit("b", 12_000, phases=L2), unit("c", 12_000, phases=L3)
    panels = [
        *arrays("a", (90, 4000), (270, 2000)), *arrays("b", (270, 9)), *arrays("c", (270, 9)),
    ]  # fmt: skip
    answer = decided(*units, phases=3, arrays=panels)
    assert worst(answer)["difference_ma"] == 34_783


@pytest.mark.parametrize(("second", "wanted"), [(134, []), (136, [OUT])])
def test_aspects_within_45_degrees_are_one(second, wanted):
    # 8 kW on each phase: L1 faces 90 degrees, L2 and L3 the second way; 8 kW alone is 34.8 A.
    units = unit("a", 8000), unit("b", 8000, phases=L2), unit("c", 8000, phases=L3)
    panels = [
        *arrays("a", (90, 8000)), *arrays("b", (second, 8000)), *arrays("c", (second, 8000)),
    ]  # fmt: skip
    assert told(decided(*units, phases=3, arrays=panels)) == wanted


def test_shared_inverters_have_aspects_too():
    # The case [12/0, 5/5, 0/12] of annex A.5 with cells behind the same inverters.
    units = (
        unit("a", 12_000, source="pv+storage"),
        unit("b", 10_000, source="pv+storage", phases=L2),
        unit("c", 12_000, source="pv+storage", phases=L3),
    )
    panels = [
        *arrays("a", (90, 12_000)), *arrays("b", (90, 5000), (270, 5000)),
        *arrays("c", (270, 12_000)),
    ]  # fmt: skip
    answer = decided(*units, phases=3, arrays=panels)
    assert told(answer) == [OUT]
    assert worst(answer)["difference_w"] == 12_000


def test_panels_taken_out_face_nowhere():
    # With the west panels gone all of it is one technology: 12 kW against 12 kW.
    units = unit("a", 12_000), unit("b", 12_000, phases=L2), unit("c", 12_000, phases=L3)
    panels = [*arrays("a", (90, 9)), *arrays("b", (90, 9)), *arrays("c", (90, 9))]
    gone = {"unit_id": "a", "azimuth_deg": 270, "peak_w": 9, "status": "removed"}
    assert told(decided(*units, phases=3, arrays=[*panels, gone])) == []


def test_quantity_counts():
    # 10 x 736 W = 7360 W on L1: exactly 32 A.
    assert told(decided(unit("a", 736, quantity=10), phases=3)) == [AT]


def test_a_capacity_that_is_missing_leaves_balance_open():
    answer = decided(unit("a", None), phases=3)
    assert told(answer) == []
    assert found(answer, "balance-not-known") == [("inform", "site")]
    assert found(decided(unit("a", None), phases=1), "balance-not-known") == []
