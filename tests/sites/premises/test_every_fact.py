"""Every fact goes from its box to the row, to the site file, and back to the row and the text."""

from typing import Any, get_args

import pytest
from msgspec import UNSET, Struct

from connections.facts import site as types
from connections.facts.declaring import declared, hint_of, part_of
from connections.facts.reading import read_site, write_site
from sites.house.boxes.fields import DayBox, LinesBox
from sites.house.boxes.sheet_form import SheetForm
from sites.house.boxes.size_box import SizeBox
from sites.premises.forms.sheet import GROUPS, SINGLES, Raw, Sheet
from sites.premises.forms.written import raw_of
from sites.premises.reading.site_rows import site_from
from sites.premises.writing.importing import rows_from_site

# Where the box of each part stands, and where the file keeps the part.
PLACES: dict[type[Struct], tuple[str, str]] = {
    types.Site: ("case", ""),
    types.Party: ("customer", "parties.customer"),
    types.Parties: ("premises", "parties"),
    types.SupplyNumber: ("numbers-0", "premises.supply_numbers.0"),
    types.Premises: ("premises", "premises"),
    types.Supply: ("supply", "supply"),
    types.Unit: ("proposed-units-0", "units.0"),
    types.Certificate: ("proposed-units-0", "units.0.standards.0"),
    types.Array: ("proposed-arrays-0", "arrays.0"),
    types.Panel: ("proposed-arrays-0", "arrays.0.panel"),
    types.Storage: ("proposed-cells-0", "storage.0"),
    types.Limit: ("proposed-export", "limits.export"),
    types.Cap: ("caps-0", "caps.0"),
    types.Protection: ("proposed-protection-0", "protection.0"),
    types.Cable: ("proposed-cables-0", "cables.0"),
    types.Board: ("existing-boards-0", "boards.0"),
    types.Clamp: ("proposed-clamps-0", "clamps.0"),
    types.Load: ("existing-loads-0", "loads.items.0"),
    types.Loads: ("premises", "loads"),
    types.Network: ("premises", "network"),
    types.Override: ("overrides-0", "overrides.0"),
    types.Nearby: ("nearby", "nearby"),
}
BOX_NAMES: dict[tuple[type[Struct], str], str] = {
    (types.Unit, "id"): "label",
    (types.Certificate, "reference"): "type_test_reference",
    (types.Certificate, "rated_w"): "certificate_rated_w",
    (types.Certificate, "valid_until"): "certificate_until",
    (types.Board, "id"): "label",
    (types.Cable, "from_"): "from_board",
    (types.Cable, "to"): "to_board",
    (types.Protection, "place"): "location",
    (types.Clamp, "id"): "label",
    (types.Clamp, "place"): "location",
    (types.Override, "key"): "default",
    **{(types.Panel, name): f"panel_{name}" for name in types.Panel.__struct_fields__},
    (types.Loads, "measured"): "loads_measured",
    (types.Nearby, "premises"): "nearby_premises",
}
WITHOUT_A_BOX = {
    (types.Site, "format"): "the same in every file",
    (types.Supply, "now_phases"): "follows from a changed supply",
    (types.Nearby, "origin"): "what is typed is typed",
    (types.Override, "unit"): "that of the default",
    (types.Unit, "status"): "the part of the sheet",
    (types.Unit, "alone_type_tested"): "read as an entry of standards",
    (types.Unit, "alone_standard"): "read as an entry of standards",
    (types.Unit, "alone_reference"): "read as an entry of standards",
    (types.Array, "status"): "the part of the sheet",
    (types.Storage, "status"): "the part of the sheet",
    (types.Load, "status"): "the part of the sheet",
}
"""Facts that nobody types, and why."""
TEXTS = {
    (types.Premises, "postcode"): "ZZ1 2BB",
    (types.Premises, "licence_area"): "gb-12",
    (types.Party, "email"): "name@firm.example",
    (types.SupplyNumber, "value"): "1200000010029",
    (types.SupplyNumber, "scheme"): "gb13",
    (types.Supply, "phases"): "3",
    (types.Unit, "id"): "inv-9",
    (types.Unit, "phases"): "L1 L2 L3",
    (types.Load, "phases"): "L1 L3",
    (types.Array, "unit_id"): "hyb-1",
    (types.Array, "strings"): "1; 11; 2\n2; 9",
    (types.Unit, "dc_inputs"): ("1; 600 V; 80 V; 550 V; 13.5 A; 17 A\n2; 600 V; ; 550 V\n3"),
    (types.Panel, "voc_ppm_k"): "-0.27",
    (types.Storage, "unit_id"): "hyb-1",
    (types.Cable, "unit_id"): "hyb-1",
    (types.Protection, "settings"): "overvoltage; 1; 262.2 V; 1 s",
    (types.Cap, "value"): "16",
    (types.Limit, "value"): "16",
    (types.Override, "key"): "cable.temperature",
    (types.Override, "value"): "60 °C",
    (types.Unit, "commissioned_on"): "24/11/2020",
    (types.Array, "commissioned_on"): "06/2016",
    (types.Storage, "commissioned_on"): "06/2016",
    (types.Limit, "commissioned_on"): "24/11/2020",
    (types.Limit, "controls"): "hyb-1",
    (types.Clamp, "serves"): "export limit",
}
"""What is typed where the declaration alone does not say what can be."""
BASE: Raw = {
    "case-reference": ["every fact"],
    "case-on_date": ["24/11/2026"],
    "supply-phases": ["3"],
    "proposed-units-TOTAL_FORMS": ["1"],
    "proposed-units-0-source": ["pv+storage"],
    "proposed-units-0-label": ["hyb-1"],
    "proposed-units-0-phases": ["L1"],
    "proposed-units-0-rated_w": ["3.6"],
}
NEEDED: dict[type[Struct], Raw] = {
    types.SupplyNumber: {
        "numbers-0-use": ["import"],
        "numbers-0-scheme": ["gb13"],
        "numbers-0-value": ["1200000010029"],
    },
    types.Cap: {"caps-0-on": ["export"], "caps-0-basis": ["ma_per_phase"], "caps-0-value": ["16"]},
    types.Limit: {"proposed-export-basis": ["ma_per_phase"], "proposed-export-value": ["16"]},
    types.Protection: {
        "proposed-protection-0-kind": ["RCBO"],
        "proposed-protection-0-serves": ["hyb-1"],
    },
    types.Cable: {
        "proposed-cables-0-from_board": ["main"],
        "proposed-cables-0-to_board": ["roof"],
        "proposed-cables-0-unit_id": ["hyb-1"],
    },
    types.Certificate: {"proposed-units-0-standard": ["G98"]},
    types.Board: {"existing-boards-0-label": ["main"]},
    types.Clamp: {"proposed-clamps-0-label": ["ct-1"], "proposed-clamps-0-location": ["grid"]},
    types.Load: {"existing-loads-0-name": ["heat pump"]},
    types.Array: {"proposed-arrays-0-panels": ["900"]},
    types.Panel: {"proposed-arrays-0-panels": ["9"], "proposed-arrays-0-panel_peak_w": ["400"]},
    types.Storage: {"proposed-cells-0-usable_wh": ["5"]},
    types.Override: {
        "overrides-0-default": ["cable.temperature"],
        "overrides-0-value": ["60 °C"],
        "overrides-0-reason": ["invented"],
    },
    types.Nearby: {"nearby-nearby": ["some"], "nearby-nearby_premises": ["2"]},
}
"""What a row must have beside the fact."""

TYPED_WHOLE = {types.ProtectionSetting, types.DcInput, types.PanelString}
"""Parts that one box types as lines."""
FACTS = [
    (part, name)
    for part in PLACES
    for name in part.__struct_fields__
    if part_of(part, name) in {None, *TYPED_WHOLE}
]


def named(given: tuple[type[Struct], str]) -> str:
    return f"{given[0].__name__}.{given[1]}"


def form_at(prefix: str) -> type[SheetForm]:
    group = prefix.removesuffix("-0")
    return GROUPS[group] if group in GROUPS else SINGLES[prefix]


def text_for(part: type[Struct], name: str, box: Any) -> str:
    """A text that a person could type into the box of a fact, as the box itself would write it."""
    fact = declared(part)[name]
    if (part, name) in TEXTS:
        return TEXTS[part, name]
    if bool in get_args(hint_of(part, name)) or bool in get_args(get_args(hint_of(part, name))[0]):
        return "no"
    if fact.choices:
        return fact.choices[-1][0]
    if isinstance(box, DayBox):
        return "18/01/2027"
    if fact.band is not None:
        return str(box.write(fact.band[1]))
    if isinstance(box, SizeBox):
        return "2.5"
    return "one\ntwo" if isinstance(box, LinesBox) else "invented"


def stated(site: Any, path: str) -> Any:
    for step in path.split(".") if path else ():
        site = site[int(step)] if step.isdigit() else getattr(site, step)
    return site


def test_every_part_of_the_file_has_its_place():
    parts = {
        kind
        for kind in vars(types).values()
        if isinstance(kind, type) and issubclass(kind, Struct) and kind.__struct_fields__
    }
    assert parts - set(PLACES) == {types.Limits, *TYPED_WHOLE}
    assert set(WITHOUT_A_BOX) <= set(FACTS)


@pytest.mark.parametrize("given", FACTS, ids=named)
def test_a_fact_goes_there_and_back(given):
    part, name = given
    prefix, path = PLACES[part]
    box_name = BOX_NAMES.get(given, name)
    box = form_at(prefix).base_fields.get(box_name)
    if given in WITHOUT_A_BOX:
        assert box is None
        return
    assert box is not None, "it has no box"
    text = text_for(part, name, box)
    raw: Raw = {**BASE, **NEEDED.get(part, {}), f"{prefix}-{box_name}": [text]}
    if prefix.endswith("-0"):
        raw.setdefault(f"{prefix.removesuffix('-0')}-TOTAL_FORMS", ["1"])
    sheet = Sheet(raw)
    assert [fault.message for fault in sheet.faults()] == []
    site = site_from(sheet.rows)
    value = getattr(stated(site, path), name)
    assert value not in (None, UNSET, (), "")
    read = read_site(write_site(site))
    assert getattr(stated(read, path), name) == value
    again = rows_from_site(read)
    assert getattr(stated(site_from(again), path), name) == value
    back = raw_of(again)
    groups = [prefix, prefix.replace("proposed-", "existing-")]
    written = [back[f"{group}-{box_name}"] for group in groups if f"{group}-{box_name}" in back]
    assert [text] in [["\n".join(line for line in texts)] for texts in written]


def may_be_empty(given: tuple[type[Struct], str]) -> bool:
    part, name = given
    needed = len(part.__struct_fields__) - len(part.__struct_defaults__)
    typed = f"{PLACES[part][0]}-{BOX_NAMES.get(given, name)}" in {**BASE, **NEEDED.get(part, {})}
    return given not in WITHOUT_A_BOX and not typed and name not in part.__struct_fields__[:needed]


@pytest.mark.parametrize("given", [each for each in FACTS if may_be_empty(each)], ids=named)
def test_an_empty_box_says_what_the_fact_says_of_it(given):
    """Null or left out; both come back as the same empty box."""
    part, name = given
    prefix, path = PLACES[part]
    raw: Raw = {**BASE, **NEEDED.get(part, {})}
    if part is types.Party:
        raw["customer-name" if name != "name" else "customer-phone"] = ["invented"]
    if prefix.endswith("-0"):
        raw.setdefault(f"{prefix.removesuffix('-0')}-TOTAL_FORMS", ["1"])
    site = site_from(Sheet(raw).rows)
    value = getattr(stated(site, path), name)
    if declared(part)[name].empty == "left-out":
        assert value is UNSET
    else:
        assert value in (None, ())
    assert site_from(rows_from_site(site)) == site
