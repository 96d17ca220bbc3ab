"""The notice of demand: which loads it tells of, and whether it asks or tells."""

from connections.pack.content import Pack, Table
from tests.connections.pack.demo_packs import notice_of, pack_of, plain_of


def rows(notice: Pack) -> list[list[str | None]]:
    (table,) = (b for s in notice.technical.sections for b in s.blocks if isinstance(b, Table))
    return [[cell.text for cell in row.cells] for row in table.rows]


def test_it_applies_where_the_service_is_looped() -> None:
    # ENA's connect-and-notify process asks first on a looped service (see the step's source).
    notice = notice_of(plain_of("12"))
    assert notice is not None
    assert notice.title == "Application to connect loads"
    assert notice.procedure.serves == "Charge point and heat pump installation form"
    assert rows(notice) == [
        ["Heat pump", "heat pump", "3.00", "L1", "no"],
        ["Charge point", "vehicle charging", "7.36", "L1", "yes"],
    ]


def test_loads_that_are_there_already_are_not_told() -> None:
    plain = plain_of("12")
    plain["loads"]["items"][0]["status"] = "existing"
    notice = notice_of(plain)
    assert notice is not None
    assert [row[0] for row in rows(notice)] == ["Charge point"]
    for load in plain["loads"]["items"]:
        load["status"] = "existing"
    charging = notice_of(plain)  # the battery still charges from the network
    assert charging is not None
    assert [row[1] for row in rows(charging)] == ["battery charging"]


def test_an_application_carries_its_loads_and_needs_no_second_paper() -> None:
    plain = plain_of("12")
    assert notice_of(plain, "application") is None
    assert notice_of(plain, "confirmation") is None  # they were applied for with the application
    pack = pack_of(plain)
    assert pack.procedure.serves == (
        "EREC G99 Form A1-1; Charge point and heat pump installation form"
    )
    said = str(pack.technical.sections[0])
    assert "It also applies for new loads: heat pump of 3 kW and charge point of 7.36 kW." in said


def test_without_loads_there_is_none() -> None:
    assert notice_of(plain_of("05")) is None


def test_it_names_no_person_in_its_technical_part() -> None:
    notice = notice_of(plain_of("12"))
    assert notice is not None
    assert notice.personal is not None
    assert "Lysander" in notice.personal.values["customer.name"]
    assert "Lysander" not in str(notice.technical)
