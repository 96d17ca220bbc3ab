"""What stops a site, what an engineer must decide, what only informs: a case and its neighbour.

Each line has a site that raises the finding and one beside it that does not. The severities are
those that the format of the decision file publishes.
"""

from typing import Any

import pytest

from connections.rules.decide import decide
from tests.site_files import ALL, L2, book, cells, decided, file, found, limit, read, unit

NUMBERS = "premises.supply_numbers[0].value"
OLD: dict[str, Any] = {"status": "existing", "commissioned_on": "2015-06-01"}


def numbered(value: str, **premises: Any) -> dict[str, Any]:
    entry = {"use": "import", "scheme": "gb13", "value": value}
    return {"premises": {"supply_numbers": [entry], **premises}}


def cap(on: str, value: int, basis: str = "w_total", **facts: Any) -> dict[str, Any]:
    return {"caps": [{"on": on, "value": value, "basis": basis, **facts}]}


def strings(listed: list[tuple[int | None, ...]], **facts: Any) -> dict[str, Any]:
    """Panels in strings, each as (tracker, in series, in parallel)."""
    names = ("tracker", "in_series", "in_parallel")
    said = [dict(zip(names, each, strict=True)) for each in listed]
    return {"unit_id": "inv-1", "strings": said, **facts}


# finding, severity, subject, a site that raises it, and one beside it that does not
CASES: list[tuple[str, str, str, dict[str, Any], dict[str, Any]]] = [
    # --- stops
    ("undetermined", "stops", "site", file(unit(type_tested=None)), file(unit())),
    ("beyond", "stops", "site",
     file(unit("a", 10_000_000, phases=ALL), phases=3),
     file(unit("a", 9_999_999, phases=ALL), phases=3)),
    ("phase-not-on-supply", "stops", "a", file(unit("a", phases=L2)),
     file(unit("a", phases=L2), phases=2)),
    ("phase-not-on-supply", "stops", "a", file(unit("a", phases=ALL), phases=2),
     file(unit("a", phases=ALL), phases=3)),
    ("behind-nothing", "stops", "storage[0]",
     file(unit("a"), storage=[{"unit_id": "b"}]), file(unit("a"), storage=[{"unit_id": "a"}])),
    ("behind-nothing", "stops", "arrays[1]",
     file(unit("a"), arrays=[{"unit_id": "a"}, {"unit_id": "b"}]),
     file(unit("a"), arrays=[{"unit_id": "a"}, {"unit_id": "b", "status": "removed"}])),
    ("behind-nothing", "stops", "arrays[0]",
     file(unit("a", status="removed"), unit("b"), arrays=[{"unit_id": "a", "status": "existing"}]),
     file(unit("a", status="removed"), unit("b"), arrays=[{"unit_id": "a"}])),
    # A synchronous set is no inverter: panels can't sit behind it.
    ("behind-nothing", "stops", "arrays[0]",
     file(unit("a", kind="synchronous", source="chp"), arrays=[{"unit_id": "a"}]),
     file(unit("a", kind="inverter"), arrays=[{"unit_id": "a"}])),
    # G99 Issue 2, 7.6.1: 17 kW on a single-phase supply, 34 kW on a split one.
    ("supply-cap", "stops", "supply", file(unit("a", 17_001)), file(unit("a", 17_000))),
    ("supply-cap", "stops", "supply",
     file(unit("a", 17_000), unit("b", 17_001, phases=L2), phases=2),
     file(unit("a", 17_000), unit("b", 17_000, phases=L2), phases=2)),
    ("export-above-agreed", "stops", "supply",
     file(unit("a", 3681), supply={"export_capacity_va": 3680}),
     file(unit("a", 3680), supply={"export_capacity_va": 3680})),
    ("export-above-agreed", "stops", "supply",
     file(unit("a", 3680), supply={"export_capacity_va": 0}),
     file(unit("a", 3680), supply={"export_capacity_va": 0}, limits=limit(0))),
    ("export-above-cap", "stops", "caps[0]",
     file(unit("a", 5000), **cap("export", 4999)), file(unit("a", 5000), **cap("export", 5000))),
    ("installed-above-cap", "stops", "caps[0]",
     file(unit("a", 5000), **cap("installed", 4999)),
     file(unit("a", 5000), **cap("installed", 5000))),
    # --- an engineer decides
    ("boundary", "decide", "site", file(unit("a", 17_000)), file(unit("a", 16_999))),
    ("limit-not-type-tested", "decide", "export-limit",
     file(unit(), limits=limit(16_000, type_tested=False)), file(unit(), limits=limit(16_000))),
    ("limit-not-type-tested", "decide", "export-limit",
     file(unit(), limits=limit(16_000, type_tested=None)), file(unit())),
    ("limit-not-type-tested", "decide", "import-limit",
     file(unit(), limits={"import": {"value": 1, "basis": "w_total", "type_tested": False}}),
     file(unit(), limits={"import": {"value": 1, "basis": "w_total", "type_tested": True}})),
    # 7361 W on one phase of three is 32.004 A.
    ("phases-out-of-balance", "decide", "site",
     file(unit("a", 7361), phases=3), file(unit("a", 7359), phases=3)),
    ("looped-service", "decide", "supply",
     file(supply={"looped": True}), file(supply={"looped": False})),
    ("supply-change", "decide", "supply",
     file(phases=3, supply={"now_phases": 1}), file(phases=3, supply={"now_phases": 3})),
    ("supply-change", "decide", "supply",
     file(supply={"now_phases": 3}), file(supply={"now_phases": None})),
    ("can-island", "decide", "a", file(unit("a", can_island=True)),
     file(unit("a", can_island=False))),
    ("can-island", "decide", "a", file(unit("a", can_island=None)), file(unit("a"))),
    ("not-type-tested", "decide", "a", file(unit("a", type_tested="no")), file(unit("a"))),
    ("not-type-tested", "decide", "a", file(unit("a", type_tested="part")), file(unit("a"))),
    ("not-type-tested", "decide", "a", file(unit("a", type_tested=None)), file(unit("a"))),
    ("no-register-reference", "decide", "a", file(unit("a", type_test_reference=None)),
     file(unit("a"))),
    ("no-register-reference", "decide", "a", file(unit("a", type_test_reference="  ")),
     file(unit("a"))),
    ("no-register-reference", "decide", "export-limit",
     file(unit(), limits=limit(16_000, type_test_reference=None)),
     file(unit(), limits=limit(16_000))),
    # A reference of blanks is none.
    ("no-register-reference", "decide", "export-limit",
     file(unit(), limits=limit(16_000, type_test_reference="  ")),
     file(unit(), limits=limit(16_000))),
    # EREC G98 is in use from 27 April 2019 on (the rulebook's date), that day included.
    ("standard-date", "inform", "a",
     file(unit("a", status="existing", commissioned_on="2019-04-26")),
     file(unit("a", status="existing", commissioned_on="2019-04-27"))),
    # 16.001 A declared over the 16 A that 3680 W keeps.
    ("declared-current", "decide", "a", file(unit("a", 3680, rated_ma=16_001)),
     file(unit("a", 3680, rated_ma=16_000))),
    # Two units at 8 A each, declared 8 and 8.001 A: together over 16 A.
    ("declared-sum", "decide", "L1",
     file(unit("a", 1840, rated_ma=8000), unit("b", 1840, rated_ma=8001)),
     file(unit("a", 1840, rated_ma=8000), unit("b", 1840, rated_ma=8000))),
    ("software-cap", "decide", "a",
     file(unit("a", 3680, design_w=3681, limited_by="software")),
     file(unit("a", 3680, design_w=3681, limited_by="maker"))),
    ("netting-limit", "decide", "export-limit",
     file(unit(), phases=3, limits=limit(11_040, "w_total", nets_phases=True)),
     file(unit(), phases=3, limits=limit(11_040, "w_total", nets_phases=False))),
    ("netting-limit", "decide", "export-limit",
     file(unit(), phases=3, limits=limit(11_040, "va_total")),
     file(unit(), phases=1, limits=limit(11_040, "va_total"))),
    ("netting-limit", "decide", "export-limit",
     file(unit(), phases=3, limits=limit(11_040, "w_total")),
     file(unit(), phases=3, limits=limit(16_000, nets_phases=True))),
    ("neighbours", "decide", "site",
     file(nearby={"premises": 1}), file(nearby={"premises": 0})),
    ("neighbours", "decide", "site", file(nearby={"premises": None}), file()),
    # 3.68 kW tested to G83 is connect and notify only if it came before 27 April 2019.
    ("existing-undated", "decide", "a",
     file(unit("a", status="existing", standard="G83")),
     file(unit("a", status="existing", standard="G83", commissioned_on="2016-06"))),
    # That day lies within April 2019.
    ("existing-undated", "decide", "a",
     file(unit("a", status="existing", standard="G83", commissioned_on="2019-04")),
     file(unit("a", status="existing", standard="G83", commissioned_on="2019-05"))),
    # Plant tested to G98 counts whatever its date.
    ("existing-undated", "decide", "a",
     file(unit("a", status="existing", standard=None)),
     file(unit("a", status="existing"))),
    # 3 + 20 kW are 100 A: the short form ends at 17 kW, so that G83 or not is a full application.
    ("existing-undated", "decide", "a",
     file(unit("a", 3000, status="existing", standard="G83", commissioned_on=None)),
     file(unit("a", 3000, status="existing", standard="G83", commissioned_on=None),
          unit("b", 20_000))),
    # 0.6 + 0.4 MW are Type B as one module. Storage from before 1 September 2022 stays out of it.
    ("existing-undated", "decide", "a",
     file(cells("a", 600_000, phases=ALL, status="existing"),
          unit("b", 400_000, phases=ALL), phases=3),
     file(cells("a", 600_000, phases=ALL, status="existing"),
          unit("b", 399_999, phases=ALL), phases=3)),
    # 30 + 20.001 kW of one module pass the 50 kW up to which a module can be fully type tested.
    ("existing-undated", "decide", "a",
     file(cells("a", 30_000, phases=ALL, status="existing"),
          unit("b", 20_001, phases=ALL), phases=3),
     file(cells("a", 30_000, phases=ALL, status="existing"),
          unit("b", 20_000, phases=ALL), phases=3)),
    # With panels behind it the inverter is no storage of its own, whatever its date.
    ("existing-undated", "decide", "a",
     file(cells("a", 600_000, phases=ALL, status="existing"),
          unit("b", 400_000, phases=ALL), phases=3),
     file(cells("a", 600_000, phases=ALL, status="existing"),
          unit("b", 400_000, phases=ALL), phases=3,
          arrays=[{"unit_id": "a", "status": "existing"}])),
    ("voltage-optimiser", "decide", "supply",
     file(supply={"voltage_optimiser": True}), file(supply={"voltage_optimiser": False})),
    ("dc-side-change", "decide", "storage[0]",
     file(unit("a", **OLD), storage=[{"unit_id": "a", "status": "proposed"}]),
     file(unit("a", **OLD), storage=[{"unit_id": "a"}])),
    ("dc-side-change", "decide", "arrays[0]",
     file(unit("a", **OLD), arrays=[{"unit_id": "a", "status": "proposed"}]),
     file(unit("a"), arrays=[{"unit_id": "a", "status": "proposed"}])),
    # 11 x 2 = 22 panels; of 400 Wp they are 8.8 kWp.
    ("panels-disagree", "decide", "arrays[0]/strings",
     file(arrays=[strings([(1, 11, 2)], panels=21)]),
     file(arrays=[strings([(1, 11, 2)], panels=22)])),
    # 11 x 1 + 9 x 2 = 29
    ("panels-disagree", "decide", "arrays[0]/strings",
     file(arrays=[strings([(1, 11, 1), (2, 9, 2)], panels=28)]),
     file(arrays=[strings([(1, 11, 1), (2, 9, 2)], panels=29)])),
    # A number that is not known can't contradict.
    ("panels-disagree", "decide", "arrays[0]/strings",
     file(arrays=[strings([(1, 11, 2)], panels=21)]),
     file(arrays=[strings([(1, 11, None)], panels=21)])),
    ("panels-disagree", "decide", "arrays[0]/peak",
     file(arrays=[{"unit_id": "inv-1", "panels": 22, "peak_w": 8801, "panel": {"peak_w": 400}}]),
     file(arrays=[{"unit_id": "inv-1", "panels": 22, "peak_w": 8800, "panel": {"peak_w": 400}}])),
    # 10,800 / 360 = 30 W is the least that is usual; 10,799 / 360 is below it.
    ("panel-unlikely", "decide", "arrays[0]",
     file(arrays=[{"unit_id": "inv-1", "panels": 360, "peak_w": 10_799}]),
     file(arrays=[{"unit_id": "inv-1", "panels": 360, "peak_w": 10_800}])),
    ("panel-unlikely", "decide", "arrays[0]",
     file(arrays=[{"unit_id": "inv-1", "panels": 4, "peak_w": 4001}]),
     file(arrays=[{"unit_id": "inv-1", "panels": 4, "peak_w": 4000}])),
    ("owner-refuses", "stops", "site", file(parties={"owner_consent": False}),
     file(parties={"owner_consent": None})),
    ("date-unlikely", "decide", "units[0].commissioned_on",
     file(unit(status="existing", commissioned_on="1979-12")),
     file(unit(status="existing", commissioned_on="1980-01-01"))),
    ("date-unlikely", "decide", "caps[0].until",
     file(**cap("export", 3000, until="2101-01-01")),
     file(**cap("export", 3000, until="2100-12-31"))),
    ("phase-cap", "decide", "L1", file(unit("a", 17_001), phases=3),
     file(unit("a", 17_000), phases=3)),
    # 7360 W on one phase of three is exactly 32 A.
    ("balance-at-limit", "decide", "site", file(unit("a", 7360), phases=3),
     file(unit("a", 7360, phases=ALL), phases=3)),
    ("full-test-too-large", "decide", "a",
     file(unit("a", 50_001, phases=ALL), phases=3), file(unit("a", 50_000, phases=ALL), phases=3)),
    ("standard-too-small", "decide", "a", file(unit("a", 3681, standard="G98")),
     file(unit("a", 3680, standard="G98"))),
    ("design-below-rated", "decide", "a", file(unit("a", 3680, design_w=3679)),
     file(unit("a", 3680, design_w=3680))),
    ("fact-not-known", "decide", "a/kind", file(unit("a", kind=None)), file(unit("a"))),
    ("fact-not-known", "decide", "a/operating_mode", file(unit("a", operating_mode=None)),
     file(unit("a", operating_mode="short-term-parallel"))),
    ("fact-not-known", "decide", "a/status", file(unit("a", status=None)),
     file(unit("a", status="proposed"))),
    ("level-not-known", "decide", "supply", file(supply={"voltage_level": None}),
     file(supply={"voltage_level": "LV"})),
    ("short-term-parallel", "decide", "a", file(unit("a", operating_mode="short-term-parallel")),
     file(unit("a"))),
    # 3 kWp until now behind 3.68 kW: the panels were the lesser. From 3 to 4 kWp raises it.
    ("dc-side-capacity", "decide", "a",
     file(unit("a", **OLD), arrays=[{"unit_id": "a", "peak_w": 3000},
                                    {"unit_id": "a", "peak_w": 1000, "status": "proposed"}]),
     file(unit("a", **OLD), arrays=[{"unit_id": "a", "peak_w": 3680},
                                    {"unit_id": "a", "peak_w": 1000, "status": "proposed"}])),
    ("area-differs", "decide", NUMBERS, file(**numbered("1200000000011", licence_area="gb-19")),
     file(**numbered("1200000000011", licence_area="gb-12"))),
    # --- for information
    ("array-smaller", "inform", "a",
     file(unit("a"), arrays=[{"unit_id": "a", "peak_w": 3679}]),
     file(unit("a"), arrays=[{"unit_id": "a", "peak_w": 3680}])),
    ("taken-out", "inform", "a", file(unit("a", status="removed"), unit("b")),
     file(unit("a", status="removed", operating_mode="switched"), unit("b"))),
    ("does-not-export", "inform", "storage[0]",
     file(unit("a"), storage=[{"unit_id": "a", "exports": False}]),
     file(unit("a"), storage=[{"unit_id": "a", "exports": True}])),
    ("switched-only", "inform", "a", file(unit("a", operating_mode="switched")),
     file(unit("a"))),
    ("va-for-w", "inform", "a", file(unit("a", None, rated_va=3000)),
     file(unit("a", 3000, rated_va=3000))),
    ("tighter-limit", "inform", "export-limit",
     file(unit("a", 5000), cells("b", 5000), limits=limit(31_999)),
     file(unit("a", 5000), cells("b", 5000), limits=limit(32_000))),
    ("limit-not-known", "inform", "export-limit", file(limits=limit(None)),
     file(limits=limit(0))),
    ("limit-in-va", "inform", "export-limit", file(limits=limit(3680, "va_total")),
     file(limits=limit(3680, "w_total"))),
    ("cap-ended", "inform", "caps[0]", file(**cap("export", 1, until="2026-11-23")),
     file(**cap("export", 9000, until="2026-11-24"))),
    ("missing-fact", "inform", "supply/cutout_a", file(), file(supply={"cutout_a": 80})),
    ("missing-fact", "inform", "supply/cutout_a", file(supply={"cutout_a": 0}),
     file(supply={"cutout_a": 60})),
    ("missing-fact", "inform", "supply/earthing", file(supply={"earthing": "unknown"}),
     file(supply={"earthing": "TT"})),
    ("missing-fact", "inform", "supply/looped", file(supply={"looped": None}),
     file(supply={"looped": False})),
    ("missing-fact", "inform", "premises/supply_numbers", file(),
     file(**numbered("9912345678906"))),
    ("nominal-voltage", "inform", "supply", file(supply={"nominal_v": 240}),
     file(supply={"nominal_v": 230})),
    # G98 and G99 came into use for plant commissioned from 27 April 2019.
    ("standard-date", "inform", "a",
     file(unit("a", status="existing", commissioned_on="2010-01-01")),
     file(unit("a", status="existing", commissioned_on="2020-01-01"))),
    ("standard-date", "inform", "a",
     file(unit("a", status="existing", standard="G83", commissioned_on="2019-04-27")),
     file(unit("a", status="existing", standard="G83", commissioned_on="2019-04-26"))),
    # G98 is in use from 27 April 2019: some days of that month lie before it, some do not.
    ("standard-date", "inform", "a",
     file(unit("a", status="existing", commissioned_on="2019-03")),
     file(unit("a", status="existing", commissioned_on="2019-04"))),
    # A proposed unit that is commissioned has that date, not the planned one.
    ("standard-date", "inform", "a",
     file(unit("a", standard="G83", commissioned_on="2019-05")),
     file(unit("a", standard="G83", commissioned_on="2019-04"))),
    ("storage-outside-module", "inform", "a",
     file(cells("a", status="existing", commissioned_on="2022-08-31")),
     file(cells("a", status="existing", commissioned_on="2022-09-01"))),
    ("storage-outside-module", "inform", "a",
     file(cells("a", status="existing", commissioned_on="2022-08")),
     file(cells("a", status="existing", commissioned_on="2022-09"))),
    ("supply-number-prefix", "inform", NUMBERS, file(**numbered("9912345678906")),
     file(**numbered("1200000000011"))),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[f"{case[0]}-{case[2]}" for case in CASES])
def test_a_finding_and_the_site_beside_it(case):
    id, severity, subject, raises, beside = case
    answer = decide(read(raises), book())
    assert (severity, subject) in found(answer, id)
    assert subject not in [name for _, name in found(decide(read(beside), book()), id)]


def test_independent_operators_and_unknown_areas_only_inform():
    answer = decide(read(file(**numbered("2400000000013"))), book(""))
    assert found(answer, "independent-network") == [("inform", NUMBERS)]
    assert found(answer, "area-not-known") == []  # the finding before asks for the area
    assert found(decide(read(file()), book("")), "area-not-known") == [("inform", "premises")]
    assert found(decided(), "area-not-known") == []


def test_the_most_severe_come_first():
    answer = decide(read(file(unit("a", 17_001, phases=L2, type_tested="no"))), book())
    order = [finding.severity for finding in answer.findings]
    assert order == sorted(order, key=["stops", "decide", "inform"].index)
    assert set(order) == {"stops", "decide", "inform"}


def test_stops_are_named_by_id_and_subject():
    answer = decide(read(file(unit("a", 3680, phases=L2))), book())
    assert answer.stops == {("phase-not-on-supply", "a")}


def test_a_unit_over_a_limit_is_told_once():
    # Declared 16.001 A, over the 16 A that its 3680 W keep; the sum of its phase is that unit.
    answer = decide(read(file(unit("a", 3680, rated_ma=16_001))), book())
    assert found(answer, "declared-current") == [("decide", "a")]
    assert found(answer, "declared-sum") == []
