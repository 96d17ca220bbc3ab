"""The electrical checks of an annex: results in words, figures with their basis, workings.

Arithmetic of the run that is used: one unit of 3.68 kW on one phase of 230 V is 16 A.
"""

import copy
import re
from typing import Any

import msgspec
import pytest

from connections.facts.canonical import canonical
from connections.pack.build import missing_items
from connections.pack.content import (
    Annex,
    Plotted,
    Prose,
    Table,
    Workings,
    read_annex,
    without_personal,
    write_pack,
)
from connections.pack.sections.alike_checks import alike, by_title
from connections.pack.sections.check_basis import BASIS
from connections.pack.sections.checks import MOST_PLOTS
from connections.rules.checks.basis.types import GROUPS, Check, CheckKind
from connections.rules.decide import decide
from connections.rules.engineering import checks_of
from tests.connections.pack.cases import FILES, annex_of, decided, pack_of, unit
from tests.connections.pack.demo_packs import annex_of as demo_annex
from tests.connections.pack.demo_packs import plain_of

RUN = {
    "from": "consumer unit", "to": "inv-1", "unit_id": "inv-1", "length_mm": 14000,
    "csa_mm2": "6", "cores": 3, "material": "copper", "insulation": "thermoplastic 70 C",
    "method": "C",
}  # fmt: skip


def blocks(pack: Annex, key: str = "checks") -> list[Any]:
    return list(next(s for s in pack.technical.sections if s.key == key).blocks)


def tables(pack: Annex) -> dict[str, Table]:
    return {b.id: b for b in blocks(pack) if isinstance(b, Table)}


def figures(annex: Annex) -> Table:
    table: Table = next(b for b in blocks(annex, "figures") if b.id == BASIS)
    return table


def rows(table: Table) -> dict[str, list[str]]:
    """The rows by their head, with no-break spaces as blanks."""
    return {
        str(row.cells[0].text): [
            str(cell.text).replace("\N{NO-BREAK SPACE}", " ") for cell in row.cells[1:]
        ]
        for row in table.rows
    }


def file(**more: Any) -> dict[str, Any]:
    plain = FILES["plain"]()
    plain["cables"] = [dict(RUN)]
    plain["protection"] = [
        {"kind": "circuit-breaker", "serves": "inv-1", "rating_a": 20},
        {"kind": "isolator", "serves": "inv-1", "rating_a": 20},
    ]
    return {**plain, **more}


def test_a_check_is_a_row_with_value_limit_margin_result_and_basis() -> None:
    found = rows(tables(annex_of(file()))["checks.circuit"])
    # 3680 W / 230 V = 16 A; a device of 20 A leaves 4 A
    assert found["Protective device carries the design current\ninv-1"][:4] == [
        "16 A", "at most 20 A", "4 A", "keeps its limit",
    ]  # fmt: skip


def test_the_margin_of_a_share_of_a_voltage_is_in_volts_too() -> None:
    value, limit, left, result, rests = rows(tables(annex_of(file()))["checks.voltage"])[
        "Voltage rise in the installer's run\ninv-1"
    ]
    # 6 mm² of copper is 3.08 mohm/m at 20 °C (IEC 60228), 3.08 × (1 + 0.00393 × 50) = 3.685 at 70;
    # 2 × 14 m: 0.1032 ohm. At 231.64 V 3680 W are 15.887 A: 1.639 V, 0.7127 % of 230 V.
    assert (value, limit, result) == ("0.71 %", "at most 1 %", "keeps its limit")
    # 1 % - 0.713 % = 0.287 %; 1 % of 230 V is 2.3 V, less 1.639 V
    assert left == "0.29 %\n0.66 V"
    assert rests.startswith("facts, limit ")


def test_what_passes_its_limit_says_so_in_words() -> None:
    longer = file(cables=[{**RUN, "length_mm": 40000}])
    [row] = [
        cells
        for head, cells in rows(tables(annex_of(longer))["checks.voltage"]).items()
        if head.startswith("Voltage rise")
    ]
    assert row[3] == "over its limit"
    assert row[2].startswith("−")
    summary = next(b for b in blocks(annex_of(longer)) if b.id == "checks.summary")
    assert "1 passes its limit" in summary.paragraphs[0]


def test_a_check_that_lacks_an_input_says_what_it_needs() -> None:
    found = rows(tables(annex_of(file(cables=[])))["checks.voltage"])
    assert found["Voltage rise in the installer's run\ninv-1"] == [
        "–", "1 %", "–", "cannot tell: needs the cable run of inv-1 (length, size and conductor)",
        found["Voltage rise in the installer's run\ninv-1"][4],
    ]  # fmt: skip
    missing = [e.id for e in missing_items(pack_of(file(cables=[])))]
    assert not [item for item in missing if item.startswith("checks")]


def test_a_device_that_is_called_for_and_not_there_is_said() -> None:
    lacking = file(protection=[{"kind": "isolator", "serves": "inv-1", "rating_a": 20}])
    del lacking["units"][0]["commissioned_on"]
    lacking["units"][0]["status"] = "proposed"
    found = rows(tables(annex_of(lacking))["checks.protection"])
    assert found["Device that the facts call for\ninv-1: an over-current device"][3] == (
        "not there: an engineer decides\nThe schedule lacks an over-current device for inv-1."
    )
    assert found["Device that the facts call for\ninv-1: an isolator on the AC side"][3] == (
        "as called for: isolator, 20 A"
    )


def test_every_figure_says_what_it_is_and_where_it_comes_from() -> None:
    table = figures(annex_of(file()))
    found = {cells[0]: cells[1:] for cells in rows(table).values()}
    limit = "The most that the voltage rises between the origin and the inverter, as a share of "
    assert found[f"{limit}nominal"][:2] == ["1 %", "limit of the rulebook"]
    assert found["Nominal voltage"] == [
        "230 V phase to neutral", "assumed", "Not stated; what is usual is taken",
    ]  # fmt: skip
    assert {cells[1] for cells in found.values()} <= {
        "limit of the rulebook", "assumed", "an engineer's figure",
    }  # fmt: skip
    assert all(cells[2] for cells in found.values())
    numbers = {str(row.cells[0].text) for row in table.rows}
    used = set()
    for other in tables(annex_of(file())).values():
        used |= {n for cells in rows(other).values() for n in re.findall(r"\d+", cells[4])}
    assert used == numbers


def test_an_engineers_figure_stands_with_its_reason_and_what_it_takes_the_place_of() -> None:
    override = {"key": "voltage_rise.power_factor", "value": 950, "reason": "declared by the maker"}
    table = figures(annex_of(file(overrides=[override])))
    [row] = [cells for cells in rows(table).values() if cells[2] == "an engineer's figure"]
    assert row[1] == "0.95"
    assert row[3].startswith("declared by the maker. In place of 1.0: ")
    circuit = rows(tables(annex_of(file(overrides=[override])))["checks.circuit"])
    assert "engineer's" in circuit["Design current\ninv-1"][4]


def test_like_units_share_a_row_and_a_working() -> None:
    pack = demo_annex(plain_of("11"))
    heads = list(rows(tables(pack)["checks.circuit"]))
    assert len([head for head in heads if head.startswith("Design current")]) == 4
    [shared] = [head for head in heads if head.startswith("Design current\npv-1, pv-2")]
    assert shared.endswith("pv-11 and pv-12")
    [circuit] = [b for b in blocks(pack, "workings") if b.id == "workings.circuit"]
    assert circuit.workings[0].lines[-1] == "Shown for pv-1; the others come out alike."
    need = rows(tables(pack)["checks.voltage"])
    [row] = [cells for head, cells in need.items() if head.startswith("Voltage rise")]
    assert row[3] == "cannot tell: needs the cable run of each (length, size and conductor)"


def test_a_name_inside_another_name_is_not_taken_for_it() -> None:
    def check(subject: str, line: str) -> Check:
        return Check(CheckKind("x", "circuit"), subject, "Title", "", (), (line,), "listed")

    one, ten = check("inv-1", "inv-10 is beside it"), check("inv-10", "inv-10 is beside it")
    assert len(alike((one, ten), lambda c: c.workings)) == 2
    same = check("inv-2", "inv-2 alone"), check("inv-3", "inv-3 alone")
    [both] = alike(same, lambda c: c.workings)
    assert both.subjects == "inv-2 and inv-3"
    assert both.words("inv-2 alone") == "each alone"


def test_checks_of_one_title_stand_together() -> None:
    def check(title: str, subject: str) -> Check:
        return Check(CheckKind("x", "circuit"), subject, title, "", (), (), "listed")

    found = by_title((check("A", "1"), check("B", "1"), check("A", "2")))
    assert [(c.title, c.subject) for c in found] == [("A", "1"), ("A", "2"), ("B", "1")]


def test_workings_show_formula_inputs_and_arithmetic() -> None:
    found = [b for b in blocks(annex_of(file()), "workings") if isinstance(b, Workings)]
    circuit = next(b for b in found if b.id == "workings.circuit")
    device = next(
        w for w in circuit.workings if w.title == "Protective device carries the design current"
    )
    assert device.formula == "Ib ≤ In"
    assert device.inputs == (
        "From the site: registered capacity of inv-1 3.68 kW; circuit-breaker of inv-1 20 A.",
        "Assumed: power factor 1.",
    )
    assert device.lines == ("1 × 16.000 A = 16.000 A; the device is 20 A.",)
    said = device.result.replace("\N{NO-BREAK SPACE}", " ")
    assert said == "16 A, at most 20 A, 4 A left: keeps its limit."


@pytest.mark.parametrize("name", [*FILES, "demo"])
def test_every_check_stands_in_its_groups_table(name: str) -> None:
    pack = demo_annex(plain_of("06")) if name == "demo" else annex_of(FILES[name]())
    plain = plain_of("06") if name == "demo" else FILES[name]()
    if name == "demo":
        from tests.connections.pack.demo_packs import ASSESSOR

        site = ASSESSOR.site(msgspec.json.encode(plain))
        book = ASSESSOR.rulebook(site)
    else:
        site, _, book = decided(plain)
    checks = checks_of(decide(site, book))
    printed = tables(pack)
    assert {f"checks.{check.group}" for check in checks} == set(printed)
    assert list(printed) == [f"checks.{g}" for g in GROUPS if f"checks.{g}" in printed]
    for check in checks:
        heads = [h for h in rows(printed[f"checks.{check.group}"]) if h.startswith(check.title)]
        assert any(check.subject.split(": ")[0] in head for head in heads), check.subject


def test_the_run_is_a_plot_with_its_figures_in_words() -> None:
    long = file(cables=[{**RUN, "length_mm": 40_000}])
    [plot] = [b for b in blocks(annex_of(long)) if isinstance(b, Plotted) and b.plot == "along"]
    assert plot.title == "Voltage along the run to inv-1"
    [line] = plot.series
    assert [(p.x, p.label) for p in line.points] == [(0, "the main board"), (40000, "inv-1")]
    assert line.points[0].y == 230000
    assert [(level.name, level.value) for level in plot.levels] == [
        ("nominal", 230000), ("limit of the run", 232300),
    ]  # fmt: skip
    assert "230 V at the main board (0 m)" in plot.told


def test_a_value_far_from_its_limit_has_no_plot_but_a_line() -> None:
    short = file(cables=[{**RUN, "length_mm": 2000}])
    found = blocks(annex_of(short))
    assert not [b for b in found if isinstance(b, Plotted) and b.plot == "along"]
    [said] = [b for b in found if b.id == "checks.not-drawn-voltage"]
    assert "1 plot with more left to the limits is not drawn" in str(said)


def test_of_many_plots_those_with_the_least_left_are_drawn() -> None:
    many = file()
    count = MOST_PLOTS + 2
    many["units"] = [unit(f"inv-{n}", rated_w=3680, status="proposed") for n in range(1, count + 1)]
    many["cables"] = [
        {**RUN, "to": f"inv-{n}", "unit_id": f"inv-{n}", "length_mm": 40_000 + 5000 * n}
        for n in range(1, count + 1)
    ]
    many["arrays"], many["protection"] = [], []
    found = [b for b in blocks(annex_of(many)) if isinstance(b, Plotted) and b.plot == "along"]
    # The longest runs of like units rise the most.
    assert [b.title.split()[-1] for b in found] == [f"inv-{n}" for n in range(3, count + 1)]
    [said] = [b for b in blocks(annex_of(many)) if b.id == "checks.not-drawn-voltage"]
    assert isinstance(said, Prose)
    assert said.paragraphs[0].startswith("2 plots")


def test_no_plant_is_nothing_to_check() -> None:
    empty = FILES["plain"]()
    for unit_ in empty["units"]:
        unit_["status"] = "removed"
    pack = annex_of(empty)
    assert blocks(pack)
    assert blocks(pack, "workings")
    assert "NaN" not in write_pack(pack).decode()


def test_it_is_frozen_and_read_back_and_the_same_twice() -> None:
    pack = annex_of(file())
    assert write_pack(pack) == write_pack(annex_of(file()))
    assert read_annex(write_pack(pack)) == pack
    assert read_annex(write_pack(without_personal(pack))).technical == pack.technical


def test_names_of_people_in_names_of_loads_and_reasons_are_withheld() -> None:
    odd = file(
        boards=[{"id": "Ada Example's board", "rating_a": 60}],
        overrides=[
            {"key": "voltage_rise.power_factor", "value": 950, "reason": "as Ada Example says"}
        ],
        loads={
            "assessed_demand_va": 9000,
            "items": [
                {"name": "charger of Ada Example", "kind": "vehicle", "w": 7360, "phases": ["L1"]}
            ],
        },
    )
    odd["cables"] = [{**RUN, "from": "1 Example Lane"}]
    technical = canonical(annex_of(odd).technical).decode()
    assert "Ada Example" not in technical
    assert "1 Example Lane" not in technical
    assert "charger of (customer's name)" in technical


def test_a_caution_asks_no_engineer() -> None:
    # The supply of this site is looped, so that the operator is asked before loads are connected.
    pack = demo_annex(plain_of("12"))
    result = rows(tables(pack)["checks.demand"])[
        "When the network operator is told of the loads\nL1"
    ][3]
    assert result == "a caution, for information\nThe service is looped."
    [summary] = [b for b in blocks(pack) if b.id == "checks.summary"]
    assert "2 are cautions, for information" in summary.paragraphs[0]


def test_the_strings_of_panels_stand_on_the_engineers_page_alone() -> None:
    panel = {"voc_mv": 49_500, "vmp_mv": 41_400, "isc_ma": 13_900, "imp_ma": 13_000,
             "voc_ppm_k": -2700}  # fmt: skip
    takes = {"tracker": 1, "max_mv": 600_000, "window_min_mv": 80_000, "window_max_mv": 550_000,
             "max_operating_ma": 16_000, "max_short_circuit_ma": 20_000}  # fmt: skip
    plain = file()
    plain["arrays"][0] |= {"panels": None, "strings": None}
    before = demo_annex(plain)
    wired = copy.deepcopy(plain)
    wired["units"][0]["dc_inputs"] = [takes]
    [array] = [one for one in wired["arrays"] if one["unit_id"] == wired["units"][0]["id"]]
    array |= {"strings": [{"tracker": 1, "in_series": 9, "in_parallel": 1}], "panel": panel}
    site, _, book = decided(wired)
    assert "strings" in {check.group for check in checks_of(decide(site, book))}
    # 20 in series give 20 x 49.5 V and more, above 600 V; 2 x 13.9 A are above 20 A.
    for change in ({}, {"in_series": 20, "in_parallel": 2}, {"in_series": None}):
        array["strings"][0] |= change
        after = demo_annex(wired)
        found = {one.id for one in after.technical.decision.findings if "string" in one.id}
        assert bool(found) is bool(change)
        for key in ("checks", "workings"):
            assert blocks(after, key) == blocks(before, key)
        assert "tracker" not in str(blocks(after, "findings"))
