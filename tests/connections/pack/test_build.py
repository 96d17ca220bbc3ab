"""What a pack says: kind and title, page one, items with their states, sums, procedure."""

import datetime as dt
import subprocess
import sys
from fractions import Fraction
from typing import Any

import pytest

from connections.facts.site_file_error import SiteFileError
from connections.pack.build import build_pack, kind_of, missing_items
from connections.pack.content import (
    Change,
    Content,
    Facts,
    Pack,
    Points,
    Prose,
    Registered,
    Section,
    Table,
    digest_faults,
)
from connections.pack.items.declared import COLUMNS, ITEMS
from connections.pack.items.types import GROUPS, LARGE
from connections.pack.pack_error import PackError
from tests.connections.pack.cases import (
    DECLARED,
    FILES,
    ON,
    SALT,
    annex_of,
    decided,
    pack_of,
    unit,
)


def section(pack: Content, key: str) -> Section:
    return next(s for s in pack.technical.sections if s.key == key)


def block(pack: Content, block_id: str) -> Any:
    return next(b for s in pack.technical.sections for b in s.blocks if b.id == block_id)


def entry(pack: Pack, item_id: str) -> Registered:
    return next(e for e in pack.technical.register if e.id == item_id)


def value(pack: Pack, item_id: str) -> Any:
    for s in pack.technical.sections:
        for b in s.blocks:
            if isinstance(b, Facts):
                for item in b.items:
                    if item.id == item_id:
                        return item.value
    raise KeyError(item_id)


def rows(table: Table) -> list[list[str | None]]:
    return [[cell.text for cell in row.cells] for row in table.rows]


# Kind, title and form follow the procedure ---------------------------------------------------


def _with(**more: Any) -> dict[str, Any]:
    file = FILES["plain"]()
    file["arrays"] = []
    file["units"] = [unit("inv-1", **more)]
    file["planned_on"] = "2027-01-15"
    return file


@pytest.mark.parametrize(
    ("file", "procedure", "kind", "title", "serves"),
    [
        (FILES["plain"](), "g98-single", "notification", "Notification of generation connected",
         "EREC G98 Form B"),
        (_with() | {"nearby": {"premises": 2}}, "g98-several", "application",
         "Application to connect generation", "EREC G98 Form A"),
        (_with(standard="G99", design_w=5000, limited_by="maker"), "sgi-1", "notification",
         "Notification of generation connected", "EREC G99 Form A3-3"),
        (FILES["application"](), "sgi-2", "application", "Application to connect storage",
         "EREC G99 Form A1-2; Charge point and heat pump installation form"),
        (_with(rated_w=10000, standard="G99"), "g99-short", "application",
         "Application to connect generation", "EREC G99 Form A1-1"),
        (FILES["large"](), "g99-full-a", "application",
         "Application to connect generation and storage", "Standard Application Form"),
        (_with(type_tested=None), "undetermined", "assessment",
         "Working sheet: generation, procedure not settled", "no form yet"),
    ],
)  # fmt: skip
def test_kind_title_and_form(
    file: dict[str, Any], procedure: str, kind: str, title: str, serves: str
) -> None:
    pack = pack_of(file)
    assert pack.procedure.key == procedure
    assert (pack.procedure.kind, pack.title, pack.procedure.serves) == (kind, title, serves)


def test_neighbours_beside_a_held_inverter_make_a_question() -> None:
    file = _with(standard="G99", design_w=5000, limited_by="maker") | {"nearby": {"premises": 1}}
    pack = pack_of(file)
    assert pack.title == "Question about connecting generation"


def test_a_confirmation_serves_the_form_after_the_work() -> None:
    pack = pack_of(FILES["application"](), kind="confirmation", subject=("bat-1",))
    assert pack.title == "Confirmation of storage connected"
    assert pack.procedure.serves == "EREC G99 Form A3-2"
    assert next(s.title for s in pack.technical.sections) == "What is told"


def test_page_one_says_what_is_asked() -> None:
    assert block(pack_of(FILES["application"]()), "asked").paragraphs == (
        "The installer, for the customer, applies to the distribution network operator to connect "
        "one battery inverter of 3.6 kW on L1.",
        "It also applies for new loads: charge point of 7.36 kW.",
        "One PV inverter of 3.68 kW on L1 stays.",
        "Export is limited to 16 A on each phase by a fully type-tested limitation scheme.",
        "Work starts only after a written answer.",
    )


def test_sums_count_existing_and_proposed_apart() -> None:
    """3600 W / 230 V = 15.65 A; apparent power is not stated, so it is taken as registered."""
    network: Table = block(pack_of(FILES["application"]()), "network")
    assert rows(network)[:4] == [
        ["Existing", "3.68", "3.68", "16.00"],
        ["Proposed", "3.60", "3.60", "15.65"],
        ["Together", "7.28", "7.28", "31.65"],
        ["Largest export, after the limit", "3.68", "–", "16.00"],
    ]
    assert rows(network)[4] == ["Export limit", "–", "–", "16.00"]
    assert [column.assumed for column in network.columns] == [False, False, True, False]


def test_three_phases_show_kilowatts_and_amps_each() -> None:
    """Two of 10 kW on three phases are 6.67 kW on each; 7 of 2.5 kW on L1: 24.17 kW, 105.07 A."""
    network: Table = block(pack_of(FILES["large"]()), "network")
    assert [c.label for c in network.columns[3:]] == ["L1", "L1", "L2", "L2", "L3", "L3"]
    assert rows(network)[2][3:5] == ["24.17", "105.07"]
    assert Fraction(72500, 3 * 230) > Fraction(10507, 100)


def test_missing_items_are_those_needed_and_not_known() -> None:
    file = FILES["application"]()
    file["supply"] |= {"cutout_a": None, "earthing": "unknown"}
    missing = [e.id for e in missing_items(pack_of(file))]
    assert missing == ["supply.cutout_a", "supply.earthing", "units.can_island"]


def test_units_are_asked_for_by_name_where_given() -> None:
    said = block(pack_of(FILES["large"](), subject=("inv-19",)), "asked").paragraphs[0]
    assert said.endswith("to connect one hybrid inverter of 10 kW on L1, L2 and L3.") or (
        "one PV inverter of 10 kW on L1, L2 and L3" in said
    )


def test_cells_behind_an_inverter_that_stays_are_what_is_asked_about() -> None:
    file = FILES["application"]()
    file["units"] = [file["units"][0] | {"source": "pv+storage"}]
    file["storage"] = [{"unit_id": "pv-1", "usable_wh": 9500, "status": "proposed"}]
    file["protection"], file["limits"] = [], {}
    pack = pack_of(file, kind="application")
    assert "9.5 kWh of cells behind pv-1" in block(pack, "asked").paragraphs[0]
    assert [row[0:2] for row in rows(block(pack, "network"))][:2] == [
        ["Existing", "3.68"],
        ["Proposed", "–"],
    ]


def titles_of_parties(file: dict[str, Any]) -> list[str]:
    blocks = next(s for s in pack_of(file).technical.sections if s.key == "asked").blocks
    return [b.title for b in blocks if b.id.startswith("parties.")]


def test_parties_that_are_one_stand_once() -> None:
    file = FILES["application"]()
    parties = file["parties"]
    assert titles_of_parties(file) == ["Customer", "Applicant and installer"]
    parties["applicant"] = dict(parties["installer"])
    assert titles_of_parties(file) == ["Customer", "Applicant and installer"]
    parties["applicant"] = dict(parties["customer"])
    assert titles_of_parties(file) == ["Customer and applicant", "Installer"]
    parties["applicant"] = {"name": "Cal Example", "phone": "01632 960003"}
    assert titles_of_parties(file) == ["Customer", "Applicant", "Installer"]
    parties["customer"] = parties["applicant"] = dict(parties["installer"])
    assert titles_of_parties(file) == ["Customer, applicant and installer"]


# Items and their states ----------------------------------------------------------------------


def test_a_fact_is_given_assumed_or_not_known() -> None:
    pack = pack_of(FILES["application"]())
    assert entry(pack, "supply.cutout_a").state == "given"
    assert entry(pack, "supply.nominal_v").state == "assumed"
    assert value(pack, "supply.nominal_v").assumed
    assert value(pack, "supply.nominal_v").text == "230 V, low voltage"
    # The limit: 16 A x 230 V = 3.68 kVA.
    assert value(pack, "supply.export_capacity_va").text == "3.68"
    assert value(pack, "supply.export_capacity_va").assumed


def test_what_is_neither_known_nor_needed_is_left_out() -> None:
    ids = {e.id for e in pack_of(FILES["application"]()).technical.register}
    assert "supply.loop_impedance_uohm" not in ids
    assert "supply.cutout_a" in ids


def test_a_column_names_the_units_that_lack_it() -> None:
    can_island = entry(pack_of(FILES["application"]()), "units.can_island")
    assert (can_island.state, can_island.of) == ("not known", ("bat-1",))


def test_a_register_reference_is_asked_of_what_the_pack_is_about_alone() -> None:
    file = FILES["application"]()
    assert entry(pack_of(file), "units.type_test_reference").state == "given"
    file["units"][1]["type_test_reference"] = None
    assert entry(pack_of(file), "units.type_test_reference").of == ("bat-1",)


def test_commissioning_is_asked_of_a_notification_and_planning_of_an_application() -> None:
    told = {e.id for e in pack_of(FILES["plain"]()).technical.register}
    asked = {e.id for e in pack_of(FILES["application"]()).technical.register}
    assert "case.commissioned_on" in told - asked
    assert "case.planned_on" in asked - told
    assert {"declarations.installer"} <= told - asked


@pytest.mark.parametrize("key", LARGE[:1])
def test_larger_plant_names_the_reports_beside_it(key: str) -> None:
    pack = pack_of(FILES["large"]())
    assert pack.procedure.key == key
    larger = [e for e in pack.technical.register if e.group == GROUPS["larger"]]
    assert len(larger) == 6
    assert not [
        e for e in pack_of(FILES["plain"]()).technical.register if e.group == GROUPS["larger"]
    ]


def test_apparent_power_stands_in_for_a_missing_capacity_as_assumed() -> None:
    file = _with(rated_va=3000)
    file["units"][0]["rated_w"] = None
    schedule = block(pack_of(file), "units")
    column = [c.label for c in schedule.columns].index("Registered")
    cell = schedule.rows[0].cells[column]
    assert (cell.text, cell.assumed) == ("3.00", True)


def test_ids_are_declared_once_and_every_group_is_known() -> None:
    ids = [item.id for item in ITEMS] + [column.id for column in COLUMNS]
    assert len(ids) == len(set(ids))
    assert {i.group for i in ITEMS} | {c.group for c in COLUMNS} <= set(GROUPS)


@pytest.mark.parametrize("name", FILES)
def test_every_register_entry_points_at_something_printed(name: str) -> None:
    pack = pack_of(FILES[name]())
    there = set()
    for s in pack.technical.sections:
        for b in s.blocks:
            there.add(b.id)
            if isinstance(b, Facts):
                there.update(item.id for item in b.items)
    assert {e.anchor for e in pack.technical.register} <= there


@pytest.mark.parametrize("name", FILES)
def test_columns_share_the_whole_width(name: str) -> None:
    for s in pack_of(FILES[name]()).technical.sections:
        for b in s.blocks:
            if isinstance(b, Table):
                assert sum(column.width for column in b.columns) == 100, b.id
                assert {len(row.cells) for row in b.rows} <= {len(b.columns)}, b.id


# Sums ----------------------------------------------------------------------------------------


def test_sums_show_every_term_and_the_exact_current() -> None:
    assert rows(block(annex_of(FILES["application"]()), "network.sums")) == [
        ["pv-1", "existing", "1 × 3,680 W ÷ 1", "3,680"],
        ["bat-1", "proposed", "1 × 3,600 W ÷ 1", "3,600"],
        ["Sum", "–", "W", "7,280"],
        ["Current", "–", "A", "31.65"],
        ["Exactly", "–", "mA", "728000/23"],
    ]
    assert Fraction(7280 * 1000, 230) == Fraction(728000, 23)


def test_thirds_of_a_watt_are_shown_to_the_hundredth() -> None:
    sums = rows(block(annex_of(FILES["large"]()), "network.sums"))
    # inv-19 has 10 kW on three phases: 3333.33 W on each.
    assert ["inv-19", "proposed", "1 × 10,000 W ÷ 3", *["3,333.33"] * 3] in sums
    assert ["inv-10", "proposed", "2 × 2,500 W ÷ 1", "5,000.00", "–", "–"] in sums
    # L1: inv-1, 4, 7, 10 (twice), 13, 16 and a third of two of 10 kW.
    assert sums[-3][3] == "24,166.67"
    assert Fraction(7 * 2500) + Fraction(2 * 10000, 3) == Fraction(72500, 3)


def test_an_unknown_rating_leaves_the_sum_unknown() -> None:
    file = _with(rated_w=None)
    file["units"][0]["rated_w"] = None
    pack = pack_of(file)
    assert rows(block(annex_of(file), "network.sums"))[-1][-1] is None
    assert entry(pack, "network.sums").state == "not known"
    assert rows(block(pack, "network"))[2] == ["Together", None, None, None]


# Sections ------------------------------------------------------------------------------------


def keys(name: str) -> list[str]:
    return [section.key for section in pack_of(FILES[name]()).technical.sections]


def test_sections_come_in_the_order_of_reading() -> None:
    assert keys("plain") == [
        "asked", "network", "units", "protection", "circuits", "diagram", "declarations",
        "cautions",
    ]  # fmt: skip
    assert keys("application") == [
        "asked", "network", "units", "diagram", "limitation", "protection", "circuits", "decisions",
        "declarations", "attachments", "next", "cautions",
    ]  # fmt: skip
    assert keys("large")[:4] == ["asked", "network", "diagram", "units"]


def source_of(file: dict[str, Any], unit_id: str) -> str | None:
    return next(
        row[1] for row in rows(block(pack_of(file), "units")) if str(row[0]).startswith(unit_id)
    )


def test_coupling_and_cells_stand_with_their_unit() -> None:
    file = FILES["application"]()
    assert source_of(file, "bat-1") == "storage, AC-coupled\n9.50 kWh usable\ngrid charging: yes"
    file["units"][1]["source"] = "pv+storage"
    assert str(source_of(file, "bat-1")).startswith("PV and storage, DC-coupled")


def test_cells_that_nobody_described_are_missing() -> None:
    file = FILES["application"]()
    file["storage"] = []
    pack = pack_of(file)
    assert "storage.described" in [e.id for e in missing_items(pack)]
    assert "The cells behind bat-1 are not described." in block(pack, "units").notes


def test_what_the_operator_answered_is_said() -> None:
    caps = rows(block(pack_of(FILES["application"]()), "limitation.caps"))
    assert caps == [["export", "5 kW in all", "OP-77", "1 May 2027"]]


def test_what_is_sent_with_it_and_what_comes_next() -> None:
    pack = pack_of(FILES["application"]())
    assert rows(block(pack, "attachments")) == [
        ["Single-line diagram", "above, under “Single-line diagram”"],
        ["Limitation scheme description", "above, under “Export limitation scheme”"],
        ["Maximum demand after diversity", "above, under “Demand, and capacities wanted”"],
        ["Data of this pack (pack.json)", "inside this PDF"],
    ]
    # EREC G99 Issue 2, 6.2.2.3: ten working days; 28 days after commissioning.
    assert rows(block(pack, "next"))[:2] == [
        ["Your answer", "within 10 working days of the complete application"],
        ["Our confirmation on Form A3-2", "within 28 days of commissioning"],
    ]


def test_only_decisions_that_concern_the_network_are_told() -> None:
    """The operator reads of older plant that can run as an island, not of our checks."""
    told = rows(block(pack_of(FILES["application"]()), "decisions"))
    assert [row[0] for row in told] == ["bat-1"]
    assert "island" in str(told[0][1])


def test_steps_say_form_time_and_waiting() -> None:
    steps: Points = block(annex_of(FILES["application"]()), "procedure.steps")
    assert steps.ordered
    first = steps.points[0]
    assert first.title == "Before the work"
    assert "Form: A1-2." in first.text
    assert "Time: 10 working days from sending." in first.text
    assert "Wait for the answer in writing." in first.text
    assert "6.2.2.3" in first.note


def test_why_none_of_the_earlier_ones() -> None:
    table = rows(block(annex_of(FILES["application"]()), "procedure.not-because"))
    assert table[0][0] == "Connect and notify"
    assert "31.65 A, not at most 16 A" in str(table[0][1])


def test_what_is_missing_to_decide_is_said_in_words() -> None:
    pack = annex_of(_with(type_tested=None))
    unknown: Prose = block(pack, "procedure.unknown")
    assert unknown.paragraphs == ("inv-1: type-test standing.",)
    assert "it could be" in " ".join(block(pack, "procedure.outcome").paragraphs)


def test_assumed_facts_are_said_in_words() -> None:
    said = " ".join(block(annex_of(FILES["plain"]()), "procedure.assumed").paragraphs)
    assert "inv-1: one unit" in said
    assert "no other premises of the firm near by" in said


# Heading -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "path"),
    [
        ({"reference": " "}, "reference"),
        ({"revision": 0}, "revision"),
        ({"revision": 10000}, "revision"),
        ({"revision": 2}, "replaces"),
        ({"revision": 2, "replaces": 2, "changes": (Change("x"),)}, "replaces"),
        ({"revision": 2, "replaces": 1}, "changes"),
        ({"revision": 2, "replaces": 1, "changes": (Change(" "),)}, "changes"),
        ({"replaces": 1}, "replaces"),
        ({"salt": "short"}, "salt"),
        ({"subject": ("nobody",)}, "subject"),
    ],
)
def test_a_wrong_heading_is_refused(given: dict[str, Any], path: str) -> None:
    with pytest.raises(PackError) as fault:
        pack_of(FILES["plain"](), **given)
    assert fault.value.path == path


def test_sixteen_characters_of_salt_do() -> None:
    pack = pack_of(FILES["plain"](), salt="0123456789abcdef")
    assert pack.personal is not None
    assert pack.personal.salt == "0123456789abcdef"


def test_a_correction_names_what_it_replaces_and_changes() -> None:
    pack = pack_of(
        FILES["plain"](), revision=3, replaces=2, changes=(Change("Cut-out", "60 A", "80 A"),)
    )
    assert (pack.revision, pack.replaces, pack.changes) == (
        3,
        2,
        (Change("Cut-out", "60 A", "80 A"),),
    )


def test_a_decision_of_another_site_or_rulebook_is_refused() -> None:
    site, decision, book = decided(FILES["plain"]())
    other, _, _ = decided(FILES["plain"]() | {"reference": "EX-002"})
    given: dict[str, Any] = {"reference": "x", "prepared_on": ON, "salt": SALT}
    with pytest.raises(PackError, match="another site file"):
        build_pack(other, decision, book, **given)
    _, later, _ = decided(FILES["plain"]() | {"on_date": "2026-11-23"})
    with pytest.raises(PackError, match="another site file"):
        build_pack(site, later, book, **given)
    import msgspec

    with pytest.raises(PackError, match="another rulebook"):
        build_pack(site, decision, msgspec.structs.replace(book, digest="0"), **given)


def test_kind_of_a_decision_without_steps_is_an_assessment() -> None:
    _, decision, _ = decided(_with(type_tested=None))
    assert kind_of(decision) == "assessment"


def test_a_declaration_is_printed_with_name_and_date() -> None:
    pack = pack_of(FILES["plain"](), declaration=DECLARED)
    signing = block(pack, "declarations.installer")
    assert signing.on.text == "25 November 2026"
    assert pack.personal is not None
    assert pack.personal.values[signing.name.personal] == "Bea Example"
    assert entry(pack, "declarations.installer").state == "given"


@pytest.mark.parametrize("name", ["plain", "application", "large"])
def test_nothing_is_called_safe_or_compliant(name: str) -> None:
    import re

    from connections.pack.content import write_pack

    technical = write_pack(pack_of(FILES[name]())).decode()
    for key in ("fail_safe",):  # the site file's own key
        technical = technical.replace(key, "")
    assert re.findall(r"\b(?:un)?safe(?:ly)?\b|\bcompliant\b", technical, re.I) == []


def test_the_room_loads_without_django_and_without_numbers() -> None:
    code = (
        "import sys, connections.pack.build\n"
        "heavy = {'django', 'weasyprint', 'pint', 'numpy', 'pvlib', 'holidays', 'fontTools'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_prepared_on_is_only_a_date() -> None:
    assert pack_of(FILES["plain"](), prepared_on=dt.date(2026, 12, 1)).prepared_on == dt.date(
        2026, 12, 1
    )


# Unknown and left-out facts ------------------------------------------------------------------


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    entries: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        entries = list(value.items())
    elif isinstance(value, list):
        entries = list(enumerate(value))
    found = [(*path, key) for key, _ in entries]
    for key, entry_there in entries:
        found += _places(entry_there, (*path, key))
    return found


@pytest.mark.parametrize("name", ["plain", "application"])
@pytest.mark.parametrize("way", ["null", "left out"])
def test_any_fact_may_be_unknown_or_left_out(name: str, way: str) -> None:
    """Every place of a file in turn; those that the file can't do without are not read at all."""
    built = 0
    for path in _places(FILES[name]()):
        file = FILES[name]()
        place: Any = file
        for step in path[:-1]:
            place = place[step]
        if way == "null":
            place[path[-1]] = None
        elif isinstance(place, dict):
            del place[path[-1]]
        else:
            continue
        try:
            decided(file)
        except SiteFileError:
            continue
        pack = pack_of(file)
        built += 1
        assert all(e.state != "given" or e.anchor for e in pack.technical.register)
        assert digest_faults(pack) == ()
    assert built > 30


def test_a_supply_that_has_still_to_be_asked_for_stands_in_the_pack() -> None:
    file = FILES["plain"]()
    file["supply"] |= {"phases": 3, "now_phases": 1}
    pack = pack_of(file)
    said = value(pack, "supply.phases").text
    assert said == "three-phase; single-phase now, the new supply to be asked for"
    assert "The supply has one phase now, and three phases are proposed." in str(pack.technical)


def test_a_pack_on_plant_that_all_goes_is_about_that_plant() -> None:
    file = FILES["plain"]()
    for each in file["units"]:
        each["status"] = "removed"
    pack = pack_of(file)
    assert pack.procedure.kind == "decommission"
    assert pack.title.endswith("taken out")
    asked: Prose = block(pack, "asked")
    # Both parts of the sentence: what goes, and that it goes.
    assert "one PV inverter of 3.68 kW on L1" in asked.paragraphs[0]
    assert "taken out" in asked.paragraphs[0]
