"""What keeps a pack from being issued."""

import datetime as dt
from typing import Any

import pytest

from connections.pack.build import pack_hindrances
from connections.pack.case import EngineerDecision
from connections.pack.pack_error import PackError
from tests.connections.pack.cases import DECLARED, FILES, ON, annex_of, decided, pack_of


def hindered(file: dict[str, Any], **more: Any) -> list[str]:
    site, decision, book = decided(file)
    given: dict[str, Any] = {"prepared_on": ON} | more
    return [h.path for h in pack_hindrances(site, decision, book, **given)]


def decisions_on(file: dict[str, Any], **more: Any) -> tuple[EngineerDecision, ...]:
    _, decision, _ = decided(file)
    return tuple(
        EngineerDecision(f.id, f.subject, f.basis, "looked at on site", "Bea Example", ON, **more)
        for f in decision.findings
        if f.severity != "inform"
    )


def test_a_whole_notification_is_issued() -> None:
    assert hindered(FILES["plain"](), declaration=DECLARED) == []
    pack = pack_of(FILES["plain"](), declaration=DECLARED, issued=True)
    assert pack.issued


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"commissioned_on": None}, "units[0].commissioned_on"),
        ({"commissioned_on": "2026-11"}, "units[0].commissioned_on"),
        ({"serials": None}, "units[0].serials"),
        ({"serials": [" "]}, "units[0].serials"),
        ({"serials": ["A", "B"]}, "units[0].serials"),
        ({"quantity": 2, "rated_w": 1800, "serials": ["A", " "]}, "units[0].serials"),
    ],
)
def test_a_notification_needs_dates_and_serials(change: dict[str, Any], path: str) -> None:
    file = FILES["plain"]()
    file["units"][0] |= change
    assert path in hindered(file, declaration=DECLARED)
    with pytest.raises(PackError):
        pack_of(file, declaration=DECLARED, issued=True)


def test_units_that_a_notification_is_not_about_hinder_nothing() -> None:
    file = FILES["plain"]()
    older = {**file["units"][0], "id": "inv-2", "serials": None}
    file["units"] = [{**unit, "rated_w": 1800} for unit in (*file["units"], older)]
    assert hindered(file, declaration=DECLARED) == ["units[1].serials"]
    assert hindered(file, declaration=DECLARED, subject=("inv-1",)) == []


def test_a_notification_needs_the_installers_declaration() -> None:
    assert hindered(FILES["plain"]()) == ["declaration"]
    with pytest.raises(PackError, match="declaration"):
        pack_of(FILES["plain"](), issued=True)


def test_an_application_needs_none_of_the_three() -> None:
    file = FILES["application"]()
    assert hindered(file, decisions=decisions_on(file)) == []


def test_findings_for_an_engineer_are_decided_first() -> None:
    file = FILES["application"]()
    open_findings = hindered(file)
    assert open_findings
    assert all(path.startswith("findings.") for path in open_findings)


def test_a_decision_counts_only_while_its_facts_stand() -> None:
    file = FILES["application"]()
    made = decisions_on(file)
    assert hindered(file, decisions=made) == []
    file["units"][1]["can_island"] = True
    assert any("island" in path for path in hindered(file, decisions=made))


def test_a_stop_is_cleared_only_by_a_written_agreement() -> None:
    file = FILES["large"]()
    file["supply"]["export_capacity_va"] = 30000
    _, decision, _ = decided(file)
    stop = next(f for f in decision.findings if f.severity == "stops")
    path = f"findings.{stop.id}"
    assert path in hindered(file, decisions=decisions_on(file))
    agreed = decisions_on(file, agreement_reference="OP-9", agreement_on=dt.date(2026, 11, 1))
    assert path not in hindered(file, decisions=agreed)
    undated = decisions_on(file, agreement_reference="OP-9")
    assert path in hindered(file, decisions=undated)


def test_a_case_without_a_procedure_is_never_issued() -> None:
    file = FILES["plain"]()
    file["units"][0]["type_tested"] = None
    assert "procedure" in hindered(file, declaration=DECLARED)


def test_decisions_are_printed_with_what_they_are_on() -> None:
    file = FILES["application"]()
    stale = EngineerDecision("gone", "bat-1", "0", "seen", "Bea Example", ON)
    pack = annex_of(file, decisions=(*decisions_on(file), stale))
    section = next(s for s in pack.technical.sections if s.key == "findings")
    table: Any = section.blocks[-1]
    assert [row.cells[1].text for row in table.rows][-1] == (
        "seen\nMade on other facts: does not count here."
    )
    assert table.rows[0].cells[1].text == "looked at on site"
    assert pack.personal is not None
    assert pack.personal.values[table.rows[0].cells[2].personal] == "Bea Example"
    first: Any = section.blocks[0]
    assert all("Decided, see below." in point.text for point in first.points)
