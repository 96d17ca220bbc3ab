"""Nothing in the technical part names or reaches a person."""

import datetime as dt
import re
from typing import Any

import pytest
from msgspec import structs

from connections.facts.canonical import canonical
from connections.facts.decision import Remedy
from connections.facts.site import Premises
from connections.pack.case import EngineerDecision
from connections.pack.content import Cell, Change, Facts, Signing, Table
from connections.pack.items.declared import ITEMS
from connections.pack.items.types import DataItem
from connections.pack.withholding import Withholding, technical_decision
from tests.connections.pack.cases import (
    DECLARED,
    FILES,
    PARTIES,
    PREMISES,
    SUPPLY_NUMBER,
    annex_of,
    decided,
    pack_of,
)


def _personal_texts(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [text for entry in value.values() for text in _personal_texts(entry)]
    if isinstance(value, list):
        return [text for entry in value for text in _personal_texts(entry)]
    return [value] if isinstance(value, str) and len(value) > 5 else []


TEXTS = [
    *_personal_texts(PARTIES),
    "Example House",
    "1 Example Lane",
    "EX1 1AA",
    SUPPLY_NUMBER,
    "12 1234 5678 902",
    "530000",
    "180000",
    "Bea Example",
]


def test_the_texts_looked_for_are_those_of_the_file() -> None:
    assert {"Ada Example", "ada@example.org", "01632 960001"} <= set(TEXTS)
    assert PREMISES["postcode"] in TEXTS


@pytest.mark.parametrize("name", ["plain", "application", "large"])
def test_technical_part_holds_no_personal_value(name: str) -> None:
    pack = pack_of(FILES[name](), declaration=DECLARED)
    technical = canonical(pack.technical).decode()
    personal = canonical(pack.personal).decode()
    assert [text for text in TEXTS if text in technical] == []
    assert "Ada Example" in personal
    assert "12 1234 5678 902" in personal


def test_free_text_that_names_a_person_is_treated() -> None:
    file = FILES["application"]()
    file["units"][1]["feeds_from"] = "Board at 1 Example Lane"
    file["loads"]["items"][0]["name"] = "Charge point of ADA  EXAMPLE"
    file["limits"]["export"]["measured_at"] = f"meter of {SUPPLY_NUMBER}"
    file["protection"][0]["reference"] = "call 01632960001"
    file["cables"] = [{"from": "Example House", "to": "bat-1"}]
    site, decision, _ = decided(file)
    finding = next(f for f in decision.findings if f.severity == "decide")
    decision_on_it = EngineerDecision(
        finding.id,
        finding.subject,
        finding.basis,
        "Ada Example agreed",
        "Bea Example",
        dt.date(2026, 11, 25),
    )
    given: dict[str, Any] = {
        "revision": 2,
        "replaces": 1,
        "changes": (Change("Telephone of Ada Example", "", "changed"),),
        "decisions": (decision_on_it,),
    }
    pack, annex = pack_of(file, **given), annex_of(file, **given)
    technical = canonical((pack.technical, annex.technical)).decode()
    assert annex.personal is not None
    assert annex.personal.values == {"decision.1.by": "Bea Example"}
    assert [text for text in TEXTS if text in technical] == []
    assert re.search("ada +example", technical, re.I) is None
    assert "01632960001" not in technical
    assert SUPPLY_NUMBER not in technical
    assert pack.changes[0].fact == "Telephone of (customer's name)"
    assert "Board at (customer's address)" in technical
    assert "(customer's name) agreed" in technical
    assert site.units[1].feeds_from == "Board at 1 Example Lane"


def test_the_way_to_the_isolator_and_what_a_scheme_acts_on_are_printed() -> None:
    file = FILES["application"]()
    plain = pack_of(file)
    ids = [entry.id for entry in plain.technical.register]
    assert "premises.access" not in ids
    file["premises"] |= {"access": "gate code 4711, at all hours", "island": False}
    file["limits"]["export"]["controls"] = ["bat-1", "charge point"]
    pack = pack_of(file)
    technical = canonical(pack.technical).decode()
    assert "4711" not in technical
    assert pack.personal is not None
    assert pack.personal.values["premises.access"] == "gate code 4711, at all hours"
    assert "bat-1 and charge point" in technical
    # The facts of a pack keep what they are decided from.
    premises = pack.technical.site.premises
    assert isinstance(premises, Premises)
    assert premises.island is False


def test_clamps_are_printed_and_treated() -> None:
    file = FILES["application"]()
    file["clamps"] = [
        {"id": "ct-1", "place": "grid", "serves": "export-limit", "phase": "L1", "link": "wired"},
        {"id": "ct-2", "place": "load", "serves": "of Ada Example"},
    ]
    pack = pack_of(file)
    (table,) = (
        block
        for section in pack.technical.sections
        for block in section.blocks
        if isinstance(block, Table) and block.id == "limitation.clamps"
    )
    assert sum(column.width for column in table.columns) == 100
    # Nothing is taken for what is not known.
    assert [[cell.text for cell in row.cells] for row in table.rows] == [
        ["ct-1", "the supply", "export limit", "L1", None, "wired"],
        ["ct-2", "a load", "of (customer's name)", None, None, None],
    ]


def test_short_names_and_lines_are_treated_wherever_somebody_types() -> None:
    # Four letters are the shortest name that is looked for, six the shortest line of an address.
    file = FILES["application"]()
    file["parties"]["customer"]["name"] = "Ezra"
    file["parties"]["customer"]["address_lines"] = ["Quayle"]
    file["premises"]["metering"] = "meter of EZRA"
    file["boards"] = [{"id": "Board of Ezra", "rating_a": 100}]
    file["overrides"] = [
        {"key": "cable.temperature", "value": 60, "unit": "C", "reason": "Cool at Quayle"}
    ]
    technical = canonical(pack_of(file).technical).decode()
    assert re.search("ezra|quayle", technical, re.I) is None
    assert "Board of (customer's name)" in technical
    assert "Cool at (customer's address)" in technical


def test_a_name_in_the_words_of_a_remedy_is_treated() -> None:
    site, decision, _ = decided(FILES["application"]())
    remedy = Remedy(
        kind="fewer-units",
        sentence="Leave out the battery of Ada Example.",
        change=(),
        takes_out=(),
        procedure="g98-single",
        clears=(),
        margin=None,
        margin_unit="",
    )
    treated = technical_decision(structs.replace(decision, remedies=(remedy,)), Withholding(site))
    assert treated.remedies[0].sentence == "Leave out the battery of (customer's name)."


def test_equipment_keeps_its_name_where_it_is_also_a_persons() -> None:
    file = FILES["plain"]()
    file["units"][0]["maker"] = "Example Fitters Ltd"
    assert "Example Fitters Ltd M-3680" in canonical(pack_of(file).technical).decode()


@pytest.mark.parametrize(
    "item",
    [i for i in ITEMS if i.id.split(".")[0] in ("customer", "applicant", "installer")],
    ids=lambda item: item.id,
)
def test_every_item_of_a_party_is_personal_but_consent(item: DataItem) -> None:
    assert item.personal is (item.id != "customer.owner_consent")


def test_personal_cells_hold_no_text_of_their_own() -> None:
    pack = pack_of(FILES["plain"](), declaration=DECLARED)
    assert pack.personal is not None
    named = set()
    for section in pack.technical.sections:
        for block in section.blocks:
            cells: list[Cell] = []
            if isinstance(block, Facts):
                cells = [item.value for item in block.items]
            elif isinstance(block, Table):
                cells = [cell for row in block.rows for cell in row.cells]
            elif isinstance(block, Signing):
                cells = [block.name, block.on]
            for cell in cells:
                if cell.personal:
                    assert cell.text is None
                    named.add(cell.personal)
    assert named == set(pack.personal.values)
