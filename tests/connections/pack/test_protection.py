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


def tables(pack_file: dict[str, Any]) -> dict[str, Table]:
    section = next(s for s in pack_of(pack_file).technical.sections if s.key == "protection")
    return {b.id: b for b in section.blocks if isinstance(b, Table)}


def words(table: Table) -> list[list[str | None]]:
    return [[cell.text for cell in row.cells] for row in table.rows]


def test_table_10_1_is_printed_whole() -> None:
    printed = tables(FILES["application"]())["protection.a"]
    assert words(printed) == [
        ["undervoltage", "1", "184.0 V (−20 %)", "2.500"],
        ["overvoltage", "1", "262.2 V (+14 %)", "1.000"],
        ["overvoltage", "2", "273.7 V (+19 %)", "0.500"],
        ["underfrequency", "1", "47.5 Hz", "20.000"],
        ["underfrequency", "2", "47.0 Hz", "0.500"],
        ["overfrequency", "1", "52.0 Hz", "0.500"],
        ["rate of change of frequency", "1", "1 Hz/s", "0.500"],
    ]
    assert "Table 10.1" in printed.notes[0]
    assert "published" in printed.notes[0]


def test_the_place_of_a_device_is_printed_where_one_is_stated() -> None:
    file = FILES["application"]()
    assert "Where it is" not in [c.label for c in tables(file)["protection.devices"].columns]
    isolator = {"kind": "isolator", "serves": "bat-1", "rating_a": 40}
    file["protection"] += [
        isolator | {"place": "meter cupboard", "lockable": True},
        isolator | {"lockable": False},
    ]
    devices = tables(file)["protection.devices"]
    assert sum(column.width for column in devices.columns) == 100
    assert [row[-1] for row in words(devices)] == [
        "–",
        "–",
        "meter cupboard; can be locked off",
        "cannot be locked off",
    ]


def test_older_plant_is_as_found_and_never_as_required() -> None:
    chosen = words(tables(FILES["application"]())["protection.choice"])
    older = next(row for row in chosen if row[0] == "pv-1")
    assert older[-1] == "as found on site, listed below"
    assert words(tables(FILES["application"]())["protection.found"]) == [
        ["pv-1", "overvoltage", "1", "253 V", None]
    ]


def test_older_plant_without_a_record_is_to_be_read_on_site() -> None:
    file = FILES["application"]()
    file["protection"] = []
    chosen = words(tables(file)["protection.choice"])
    assert chosen[0][-1] == "as found on site; not known yet: read them on site"
    assert all("required" not in str(row[-1]) for row in chosen if row[0] == "pv-1")


def test_like_units_share_a_row_and_a_table() -> None:
    printed = tables(FILES["large"]())
    chosen = words(printed["protection.choice"])
    assert [row[-1] for row in chosen] == ["as required: Table A", "as required: Table B"]
    assert str(chosen[0][0]).startswith("inv-1, inv-2")
    assert {"protection.a", "protection.b"} <= set(printed)


def test_a_unit_without_a_standard_leaves_the_settings_unknown() -> None:
    file = FILES["large"]()
    file["units"][7]["standard"] = None
    register = pack_of(file).technical.register
    entry = next(e for e in register if e.id == "protection.settings")
    assert (entry.state, entry.of) == ("not known", ("inv-8",))
