"""What a pack needs, by procedure and stage, and what a layer of the rulebook can change of it.

The rows of `STAGES` are what a practitioner gives at each stage: after the issue of the gate (a
fully tested scheme: reference, limit, units, clamp's place; any other also response, fail-safe,
measuring place), Form B of EREC G98 Issue 1 (opening pages) and common practice, no source.
"""

import datetime as dt
import json
from typing import Any

import pytest

from connections.facts.reading import read_site
from connections.pack.build import needed_later, pack_hindrances
from connections.pack.case import SentWithout
from connections.pack.content import Table
from connections.pack.items.declared import BY_ID
from connections.pack.needs import BY_COLUMN, LISTS, SCHEME_LISTS
from connections.pack.pack_error import PackError
from connections.rulebook.book import Rulebook
from connections.rulebook.load import load_books, read_local, resolve
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.connections.pack.cases import DECLARED, FILES, ON, decided, pack_of, unit
from tests.connections.pack.demo_packs import ASSESSOR, DEMO

SCHEME_UNKNOWN = {"value": 5000, "basis": "w_total"}
"""The pack of the issue: a limit of 5 kW of which nothing else is known."""
TESTED = {
    **SCHEME_UNKNOWN,
    "type_tested": True,
    "type_test_reference": "EX/limiter",
    "ct_position": "meter tails",
    "controls": ["bat-1"],
}


def lacks(file: dict[str, Any], **more: Any) -> list[str]:
    site, decision, book = decided(file)
    found = pack_hindrances(site, decision, book, prepared_on=ON, declaration=DECLARED, **more)
    return [h.path for h in found if not h.path.startswith("findings.")]


def with_limit(name: str, limit: dict[str, Any], **more: Any) -> dict[str, Any]:
    return FILES[name]() | {"limits": {"export": limit}} | more


def test_nothing_is_known_of_a_limit_of_5_kw() -> None:
    assert lacks(with_limit("application", SCHEME_UNKNOWN)) == [
        "limits.export.controls",
        "limits.export.ct_position",
        "limits.export.response_ms",
        "limits.export.fail_safe",
        "limits.export.measured_at",
    ]


def test_a_tested_scheme_needs_its_reference_and_not_its_response() -> None:
    assert lacks(with_limit("application", TESTED)) == []
    without = {**TESTED, "type_test_reference": None}
    assert lacks(with_limit("application", without)) == ["limits.export.type_test_reference"]
    assert lacks(with_limit("application", {**TESTED, "ct_position": " "})) == [
        "limits.export.ct_position"
    ]


@pytest.mark.parametrize(
    ("place", "serves", "known"),
    [
        ("grid", "export-limit", True),
        ("grid", "bat-1", True),
        ("grid", None, True),
        ("grid", "import-limit", False),
        ("pv", "export-limit", False),
        (None, "export-limit", False),
    ],
)
def test_a_clamp_at_the_supply_is_a_place(
    place: str | None, serves: str | None, known: bool
) -> None:
    clamp = {"id": "ct-1", "place": place, "serves": serves}
    file = with_limit("application", {**TESTED, "ct_position": None}, clamps=[clamp])
    assert lacks(file) == ([] if known else ["limits.export.ct_position"])


def test_an_import_limit_has_needs_of_its_own() -> None:
    file = FILES["application"]()
    file["limits"]["import"] = {"value": 80_000, "basis": "ma_per_phase", "type_tested": False}
    assert {path.rpartition(".")[0] for path in lacks(file)} == {"limits.import"}


@pytest.mark.parametrize(
    ("part", "change", "path"),
    [
        ("supply", {"cutout_a": None}, "supply.cutout_a"),
        ("supply", {"looped": None}, "supply.looped"),
        ("supply", {"earthing": "unknown"}, "supply.earthing"),
        ("parties", {"owner_consent": None}, "parties.owner_consent"),
        (None, {"planned_on": None}, "planned_on"),
    ],
)
def test_an_application_needs_what_a_notification_does_not(
    part: str | None, change: dict[str, Any], path: str
) -> None:
    for name, wanted in (("application", [path]), ("plain", [])):
        file = FILES[name]()
        (file[part] if part else file).update(change)
        assert lacks(file) == wanted


def test_both_need_to_know_who_and_where() -> None:
    for name in ("application", "plain"):
        file = FILES[name]()
        file["parties"]["customer"]["phone"] = None
        file["premises"] |= {"postcode": None, "supply_numbers": []}
        assert lacks(file) == [
            "parties.customer.phone",
            "premises.postcode",
            "premises.supply_numbers",
        ]


def test_a_notification_stays_quick() -> None:
    """Cells, loads and older plant are described for an application alone."""
    file = FILES["plain"]()
    file["loads"] = {"items": [{"name": "oven"}]}
    file["supply"] |= {"cutout_a": None, "earthing": "unknown", "looped": None}
    assert lacks(file) == []


def test_of_cells_and_loads_an_application_needs_what_counts() -> None:
    file = FILES["application"]()
    file["storage"][0] |= {"usable_wh": 0, "charges_from_grid": None, "exports": None}
    file["loads"]["items"][0]["w"] = None
    assert lacks(file) == [
        "storage[0].usable_wh",
        "storage[0].charges_from_grid",
        "loads.items[0].w",
    ]


def test_cells_that_nobody_describes_are_a_gap() -> None:
    file = FILES["application"]() | {"storage": []}
    assert lacks(file) == ["storage"]


def test_older_units_are_not_asked_for_their_model() -> None:
    file = FILES["application"]()
    file["units"][0] |= {"maker": None, "model": None}
    assert lacks(file) == []
    file["units"][1] |= {"maker": None, "model": None}
    assert lacks(file) == ["units[1].model"]


def test_above_50_kw_both_capacities_are_named() -> None:
    """Three lines of 20 kW on three phases are 60 kW: a full application."""
    file = FILES["application"]() | {
        "supply": {"phases": 3, "cutout_a": 100, "earthing": "TN-S", "looped": False},
        "units": [
            unit(f"pv-{n}", rated_w=20_000, phases=["L1", "L2", "L3"], standard="G99")
            for n in range(3)
        ],
        "arrays": [],
        "storage": [],
        "protection": [],
        "limits": {},
        "caps": [],
    }
    assert lacks(file) == ["supply.import_capacity_va", "supply.export_capacity_va"]
    # What goes in reports beside the pack is named, and holds nothing up.
    assert {e.id for e in pack_of(file).technical.register} >= {"larger.fault", "larger.model"}
    file["supply"] |= {"import_capacity_va": 69_000, "export_capacity_va": 60_000}
    assert lacks(file) == []


def test_of_plant_that_goes_little_is_told() -> None:
    file = FILES["plain"]()
    file["units"][0] |= {"status": "removed", "maker": None, "model": None, "serials": None}
    file["supply"] |= {"cutout_a": None, "earthing": "unknown"}
    assert decided(file)[1].procedure.key == "nothing-parallel"
    assert lacks(file) == []
    file["premises"]["postcode"] = None
    assert lacks(file) == ["premises.postcode"]


def test_what_an_engineer_decides_by_a_finding_is_not_asked_twice() -> None:
    file = FILES["plain"]()
    file["units"][0]["type_test_reference"] = None
    site, decision, book = decided(file)
    found = pack_hindrances(site, decision, book, prepared_on=ON, declaration=DECLARED)
    assert [h.path for h in found] == ["findings.no-register-reference"]


def later(file: dict[str, Any]) -> list[tuple[str, str]]:
    site, decision, book = decided(file)
    return [(g.stage, g.path) for g in needed_later(site, decision, book, prepared_on=ON)]


def test_an_application_tells_what_is_needed_later() -> None:
    file = FILES["application"]()
    file["units"][1] |= {"type_tested": "part", "type_test_reference": None}
    assert lacks(file) == []
    done = [
        ("confirmation", "units[1].serials"),
        ("confirmation", "limits.export.commissioned_on"),
    ]
    assert later(file) == [("energising", "units[1].standards[0].reference"), *done]
    # What is not type tested has no reference in the register.
    file["units"][1]["type_tested"] = "no"
    assert later(file) == done
    assert later(FILES["plain"]()) == []


def reason(item: str, of: str = "") -> tuple[SentWithout, ...]:
    return (SentWithout(item, of, "Ada Example has it in the loft."),)


def test_a_reason_stands_in_for_the_fact_and_is_printed() -> None:
    file = FILES["plain"]()
    file["units"][0]["serials"] = None
    given = reason("units.serials", "inv-1")
    assert lacks(file) == ["units[0].serials"]
    assert lacks(file, without=reason("units.serials", "inv-2")) == ["units[0].serials"]
    assert lacks(file, without=given) == []
    with pytest.raises(PackError, match="serial numbers of inv-1"):
        pack_of(file, declaration=DECLARED, issued=True)
    pack = pack_of(file, declaration=DECLARED, issued=True, without=given)
    (table,) = (
        block
        for section in pack.technical.sections
        for block in section.blocks
        if block.id == "units"
    )
    # A person's name in the reason stands in the technical part as a word, as in all typed text.
    assert isinstance(table, Table)
    assert table.notes[0] == (
        "inv-1, serial numbers: not given: (customer's name) has it in the loft."
    )


def test_a_reason_for_a_fact_of_the_case_stands_beside_it() -> None:
    file = FILES["application"]()
    file["supply"]["looped"] = None
    pack = pack_of(file, without=reason("supply.looped"))
    items = {
        item.id: item
        for section in pack.technical.sections
        for block in section.blocks
        for item in getattr(block, "items", ())
    }
    assert items["supply.looped"].without == "(customer's name) has it in the loft."
    assert items["supply.cutout_a"].without == ""


def test_finished_work_is_never_told_without_its_day() -> None:
    file = FILES["plain"]()
    file["units"][0]["commissioned_on"] = None
    given = reason("case.commissioned_on")
    assert "units[0].commissioned_on" in lacks(file, without=given)


def test_every_edition_names_data_items_that_there_are() -> None:
    books = load_books()
    scheme = {one.key for one in SCHEME_LISTS}
    for edition in books.editions:
        held = {key: value for key, value in edition.values.items() if key.startswith("needs.")}
        assert {"needs.site", "needs.done", "needs.taken_out", *scheme} <= set(held)
        assert set(held) <= {one.key for one in LISTS} | scheme
        for key, value in held.items():
            for spell in value.spells:
                assert isinstance(spell.amount, tuple)
                for name in spell.amount:
                    item = f"limit.export.{name}" if key in scheme else name
                    assert item in BY_ID or item in BY_COLUMN, f"{edition.key}: {key}: {name}"


LOCAL = """
[book]
format = "rulebook/1"
kind = "local"
key = "a-firm"
title = "A firm (invented)"
from = 2025-01-01

[[value]]
key = "needs.storage"
says = "What this operator asks of cells."
unit = "list"
applies_to = "tests"
value = [{items}]
source = {{ document = "practice" }}
checked = 2026-11-30
"""


def under_layer(items: str, file: dict[str, Any]) -> list[str]:
    site = read_site(json.dumps(file))
    part = read_local(LOCAL.format(items=items).encode(), "firm.toml")
    book: Rulebook = resolve(
        load_books(), on=dt.date(2026, 11, 24), area="gb-12", nation="england", local=[part]
    )
    decision = write_decision(decide(site, book))
    found = pack_hindrances(site, decision, book, prepared_on=ON)
    return [h.message for h in found if not h.path.startswith("findings.")]


def test_a_layer_adds_a_need_and_takes_one_away() -> None:
    file = FILES["application"]()
    file["storage"][0] |= {"charges_from_grid": None, "discharge_w": None}
    assert under_layer('"storage.usable", "storage.discharge"', file) == [
        "missing: the discharging power of the cells behind bat-1"
    ]


def test_a_need_that_no_pack_has_is_never_passed_over() -> None:
    assert under_layer('"storage.usable", "storage.colour"', FILES["application"]()) == [
        "needs.storage asks for storage.colour, which no pack has; correct the rulebook"
    ]


def test_the_demonstration_lacks_nothing_but_what_finished_work_tells() -> None:
    """An application of the demonstration can be issued; a notification once the work is done."""
    for path in sorted(DEMO.glob("*.json")):
        site = ASSESSOR.site(path.read_bytes())
        decision, book = ASSESSOR.decide(site).decision, ASSESSOR.rulebook(site)
        found = pack_hindrances(site, decision, book, prepared_on=ON)
        paths = {h.path.rpartition(".")[2] for h in found if not h.path.startswith("findings.")}
        assert paths <= {"commissioned_on", "serials", "declaration", "procedure"}, path.name
        assert ("procedure" in paths) == path.name.startswith("09")
