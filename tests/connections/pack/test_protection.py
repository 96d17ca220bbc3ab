"""Which table of settings a unit is to have.

Values: EREC G99 Issue 2, tables 10.1 and 10.2 (facts read in source); G98 and plant before 27 April
2019 from memory, as the rulebook says.
"""

import json
from typing import Any

import pytest

from connections.facts.reading import read_site
from connections.pack.content import Table
from connections.pack.sections.protection import choose
from connections.rulebook.load import load_books, resolve
from tests.connections.pack.cases import FILES, ON, pack_of, unit


def choices(*units: dict[str, Any], **more: Any) -> list[tuple[str, str | None]]:
    file = FILES["plain"]() | {"units": list(units), "arrays": [], "protection": [], "cables": []}
    file["supply"] |= more
    book = resolve(load_books(), on=ON, area="gb-12", nation="england")
    chosen = choose(read_site(json.dumps(file)), book.settings)
    return [(c.basis, c.table.id if c.table else None) for c in chosen]


@pytest.mark.parametrize(
    ("given", "supply", "wanted"),
    [
        ({"standard": "G98"}, {}, ("table", "g98-lv-long")),
        ({"standard": "EREC G98 Issue 2"}, {}, ("table", "g98-lv-long")),
        ({"standard": "G99"}, {}, ("table", "g99-lv-long")),
        ({"standard": "G99"}, {"voltage_level": "HV"}, ("table", "g99-hv-long")),
        (
            {"standard": "G99", "operating_mode": "short-term-parallel"},
            {},
            ("table", "g99-lv-short"),
        ),
        ({"standard": "G99", "operating_mode": "switched"}, {}, ("not parallel", None)),
        ({"standard": "G98", "operating_mode": "short-term-parallel"}, {}, ("no table", None)),
        ({"standard": "G99", "operating_mode": None}, {}, ("no table", None)),
        ({"standard": None}, {}, ("no standard", None)),
        ({"standard": "another"}, {}, ("no table", None)),
        ({"standard": "G98", "status": "existing"}, {}, ("table", "g98-lv-long")),
        ({"standard": "G83", "status": "existing"}, {}, ("as found", None)),
        ({"standard": "G59/3", "status": "existing"}, {}, ("as found", None)),
    ],
)
def test_one_unit(
    given: dict[str, Any], supply: dict[str, Any], wanted: tuple[str, str | None]
) -> None:
    assert choices(unit("inv-1", **given), **supply) == [wanted]


def test_removed_units_have_no_settings() -> None:
    assert choices(unit("a", status="removed"), unit("b")) == [("table", "g98-lv-long")]


def tables(pack_file: dict[str, Any], key: str = "protection") -> dict[str, Table]:
    section = next(s for s in pack_of(pack_file).technical.sections if s.key == key)
    return {b.id: b for b in section.blocks if isinstance(b, Table)}


def words(table: Table) -> list[list[str | None]]:
    return [[cell.text for cell in row.cells] for row in table.rows]


def partly_tested() -> dict[str, Any]:
    file = FILES["application"]()
    file["units"][1]["type_tested"] = "part"
    return file


def test_table_10_1_is_printed_whole_for_what_is_not_fully_tested() -> None:
    printed = tables(partly_tested())
    assert words(printed["protection"])[1][:3] == ["bat-1", "in the inverter, G99", "Table A below"]
    assert words(printed["protection.a"]) == [
        ["undervoltage", "1", "184.0 V (−20 %)", "2.50"],
        ["overvoltage", "1", "262.2 V (+14 %)", "1.00"],
        ["overvoltage", "2", "273.7 V (+19 %)", "0.50"],
        ["underfrequency", "1", "47.5 Hz", "20.00"],
        ["underfrequency", "2", "47.0 Hz", "0.50"],
        ["overfrequency", "1", "52.0 Hz", "0.50"],
        ["rate of change of frequency", "1", "1 Hz/s", "0.50"],
    ]


def test_a_fully_tested_unit_is_one_line() -> None:
    """20 s: common practice; 0.95: EREC G99 Issue 2, 11.1.5."""
    printed = tables(FILES["application"]())
    assert words(printed["protection"])[1] == [
        "bat-1",
        "in the inverter, G99",
        "as type tested, register reference above",
        "at least 20 s",
        "0.95 lagging to 0.95 leading",
    ]
    assert "protection.a" not in printed


def test_the_place_of_an_isolator_is_printed_where_one_is_stated() -> None:
    file = FILES["application"]()
    isolator = {"kind": "isolator", "serves": "bat-1", "rating_a": 40}
    file["protection"] += [
        isolator | {"place": "meter cupboard", "lockable": True},
        isolator | {"lockable": False},
    ]
    circuits = tables(file, "circuits")["circuits"]
    assert sum(column.width for column in circuits.columns) == 100
    assert words(circuits)[0] == [
        "bat-1",
        "40 A, meter cupboard, can be locked off\n"
        "40 A, place to be confirmed on site, cannot be locked off",
        "residual-current circuit-breaker, type A",
        "–",
    ]


def test_older_plant_is_as_found_and_never_as_required() -> None:
    printed = tables(FILES["application"]())
    assert words(printed["protection"])[0] == [
        "pv-1", "in the inverter, G83", "as found on site, below", "–", "–",
    ]  # fmt: skip
    assert words(printed["protection.found"]) == [["pv-1", "overvoltage", "1", "253 V", None]]


def test_older_plant_without_a_record_is_as_it_was_commissioned() -> None:
    file = FILES["application"]()
    file["protection"] = []
    assert words(tables(file)["protection"])[0][2] == "as commissioned"


def test_like_units_share_a_row() -> None:
    rows = words(tables(FILES["large"]())["protection"])
    assert len(rows) == 2
    assert str(rows[0][0]).startswith("inv-1, inv-2")
    alike = FILES["large"]()
    for each in alike["units"]:
        each["standard"] = "G99"
    assert words(tables(alike)["protection"])[0][0] == "all units"


def test_a_unit_without_a_standard_leaves_the_settings_unknown() -> None:
    file = FILES["large"]()
    file["units"][7]["standard"] = None
    register = pack_of(file).technical.register
    entry = next(e for e in register if e.id == "protection.settings")
    assert (entry.state, entry.of) == ("not known", ("inv-8",))
