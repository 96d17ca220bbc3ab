"""What the network operator's reader finds: the demonstration's packs read back from their PDF.

The items and lengths are those that the firm's work asks of a pack (the issue "A pack of four
pages"). Figures are those of the site files: 3680 W / 230 V = 16 A, 3600 W / 230 V = 15.652 A.
"""

import copy
import re
from collections.abc import Callable
from typing import Any

import pytest

from connections.documents.html import annex_html, pack_html
from connections.documents.render import render
from connections.pack.content import Change, Pack
from tests.connections.documents.conftest import page_texts
from tests.connections.documents.reading import Reader, machine_words, text_of
from tests.connections.pack.cases import DECLARED, FILES
from tests.connections.pack.cases import pack_of as pack_of_file
from tests.connections.pack.demo_packs import annex_of, notice_of, pack_of, plain_of

Get = Callable[[str], "Seen"]


class Seen:
    """A pack with its PDF, read back."""

    def __init__(self, pack: Pack) -> None:
        self.pack = pack
        self.pdf = render(pack)
        self.pages = page_texts(self.pdf)
        self.reader = Reader(self.pdf)


def done(plain: dict[str, Any]) -> dict[str, Any]:
    """The site with its proposed units in use: what a notification tells."""
    plain = copy.deepcopy(plain)
    for unit in plain["units"]:
        unit |= {"status": "existing", "commissioned_on": "2026-11-23", "serials": ["INV-0001"]}
    return plain


_seen: dict[str, Seen] = {}


@pytest.fixture(scope="session")
def seen() -> Get:
    """One of the demonstration's packs; notifications as they are issued."""

    def get(name: str) -> Seen:
        if name not in _seen:
            plain = plain_of(name)
            more: dict[str, Any] = {}
            if name in ("01", "05"):
                plain, more = done(plain), {"declaration": DECLARED, "issued": True}
            elif name == "10":
                plain, more = done(plain), {"declaration": DECLARED}
            _seen[name] = Seen(pack_of(plain, **more))
        return _seen[name]

    return get


APPLICATION = (
    ("To", "Distribution network operator"),
    ("Procedure", "Short application: small generation"),
    ("Data for", "EREC G99 Form A1-2"),
    ("Reference", "EX-1"),
    ("Revision", "1"),
    ("Date", "25 November 2026"),
    ("Planned for", "18 January 2027"),
    ("Address", "18 Weir Street"),
    ("Postcode", "ZZ1 3CC"),
    ("Import MPAN", "99 0000 0010 031"),
    ("Export MPAN", "none yet"),
    ("Name", "Philippa Sorrel"),
    ("Telephone", "01632 960203"),
    ("E-mail", "customer3@fennhaven.example"),
    ("Owner's consent", "yes"),
    ("Name", "Harrow Lane Solar"),
    ("Registration", "invented registration HL-0417"),
    ("Telephone", "01632 960 140"),
    ("E-mail", "office@harrowlane.example"),
    ("Phases", "single-phase"),
    ("Cut-out", "80 A"),
    ("Earthing", "TN-C-S"),
    ("Looped service", "no"),
    ("Maximum demand", "6.9 kVA"),
    ("Import capacity", "18.40 kVA"),
    ("Export capacity", "3.68 kVA"),
    ("Export limit", "16 A on each phase"),
    ("Register reference", "INVENTED/CLS/16"),
    ("Clamp", "meter tails, customer side"),
    ("Units controlled", "pv-1 and bat-1"),
    ("Responds within", "5 s"),
    ("If meter, link or supply fails", "export stays within the limit"),
    ("Reconnects after", "at least 20 s"),
    ("Power factor", "0.95 lagging to 0.95"),
)
NEAR_MM = 29
"""Label and value stand beside each other; a column of labels is 29 mm wide."""


@pytest.mark.parametrize(("label", "value"), APPLICATION)
def test_each_item_stands_once_beside_its_label(seen: Get, label: str, value: str) -> None:
    assert seen("03").reader.pairs(label, value, NEAR_MM) == 1


@pytest.mark.parametrize(
    "text", ["Application to connect storage", "Declarations", "With this pack"]
)
def test_titles_stand_once(seen: Get, text: str) -> None:
    assert len(seen("03").reader.places(text)) == 1


@pytest.mark.parametrize(
    ("row", "kilowatts", "amps"),
    [
        ("Existing", "3.68", "16.00"),
        ("Proposed", "3.60", "15.65"),
        ("Together", "7.28", "31.65"),
        ("Largest export, after the limit", "3.68", "16.00"),
    ],
)
def test_sums_stand_in_their_row(seen: Get, row: str, kilowatts: str, amps: str) -> None:
    reader = seen("03").reader
    (head,) = (place for place in reader.places(row) if place.page == 0)
    in_line = sorted(
        (place.left, value)
        for value in {kilowatts, amps}
        for place in reader.places(value)
        if place.page == 0 and abs(place.bottom - head.bottom) < 3
    )
    found = [value for _, value in in_line]
    assert (found[0], found[-1]) == (kilowatts, amps)


@pytest.mark.parametrize(
    ("unit", "values"),
    [
        (
            "pv-1",
            ("existing", "PV, 4 kWp", "invented maker model pv-1", "INVENTED/PV-1/3680",
             "G98, fully type tested", "3.68", "16.00", "L1", "19 May 2021"),
        ),
        (
            "bat-1",
            ("proposed", "storage, AC-coupled", "8.00 kWh usable", "grid charging: yes",
             "invented maker model bat-1", "INVENTED/BAT-1/3600", "G98, fully type tested",
             "3.60", "15.65", "L1", "planned 18 Jan 2027"),
        ),
    ],
)  # fmt: skip
def test_a_unit_is_one_row_of_the_table(seen: Get, unit: str, values: tuple[str, ...]) -> None:
    reader = seen("03").reader
    table = reader.places("Generating units, existing and proposed")[0]
    head = next(
        p for p in reader.places(unit)
        if p.page == table.page and p.bottom < table.bottom and p.left < table.left + 20
    )  # fmt: skip
    for value in values:
        assert any(
            place.page == head.page and head.top - 40 < place.bottom < head.top
            for place in reader.places(value)
        ), value


LENGTHS = {
    "01": 2, "02": 4, "03": 4, "04": 4, "05": 2, "06": 6, "07": 4, "08": 4, "09": 4, "10": 2,
    "11": 10, "12": 4,
}  # fmt: skip


@pytest.mark.parametrize("name", LENGTHS)
def test_length_and_filling_of_pages(seen: Get, name: str) -> None:
    found = seen(name)
    assert len(found.pages) <= LENGTHS[name]
    assert min(found.reader.lowest[:-1]) > 0.5


def test_twenty_units_on_one_board_take_ten_pages_at_most() -> None:
    plain = plain_of("06")
    like = next(unit for unit in plain["units"] if unit["id"] == "pv-2")
    names = [f"inv-{n}" for n in range(1, 21)]
    plain["units"] = [
        like | {"id": name, "rated_w": 2300, "phases": [f"L{n % 3 + 1}"]}
        for n, name in enumerate(names)
    ]
    plain["arrays"] = [{"unit_id": name, "peak_w": 2500} for name in names]
    plain["storage"], plain["cables"] = [], []
    plain["protection"] = [
        {"kind": kind, "serves": name, "rating_a": 16}
        for name in names
        for kind in ("circuit-breaker", "isolator")
    ]
    found = Seen(pack_of(plain))
    assert len(found.pages) <= 10
    assert min(found.reader.lowest[:-1]) > 0.5


def test_isolator_and_access_stand_beside_their_words() -> None:
    plain = plain_of("03")
    plain["premises"]["access"] = "key at the invented shop next door"
    plain["protection"][3] |= {"place": "outside wall by the unit", "lockable": True}
    reader = Reader(render(pack_of(plain)))
    assert reader.pairs("Way to the isolator", "key at the invented shop next door", NEAR_MM) == 1
    (isolator,) = reader.places("20 A, outside wall by the unit, can be locked off")
    row = [p for p in reader.places("bat-1") if abs(p.top - isolator.top) < 3]
    assert row
    assert row[0].page == isolator.page


@pytest.mark.parametrize("name", LENGTHS)
def test_letters_are_large_enough(seen: Get, name: str) -> None:
    reader = seen(name).reader
    assert min(round(letter.size, 2) for letter in reader.letters if letter.text.strip()) >= 8
    value = reader.text.index("99 0000")
    assert round(reader.letters[value].size, 2) >= 9


@pytest.mark.parametrize("name", LENGTHS)
def test_no_machine_words_and_no_doubts(seen: Get, name: str) -> None:
    found = seen(name)
    for page in found.pages:
        assert machine_words(page) == []
    doubts = r"from memory|secondary|was not read|certain|checked \d"
    assert re.findall(doubts, found.reader.text) == []
    if name != "09":  # a working sheet, never sent
        wanted = {e.id for e in found.pack.technical.register if e.state == "not known"}
        assert ("not known" in found.reader.text) == bool(wanted & {"case.commissioned_on"})


@pytest.mark.parametrize("name", LENGTHS)
def test_no_machine_words_beside_a_pack(name: str) -> None:
    plain = plain_of(name)
    assert machine_words(text_of(annex_html(annex_of(plain)))) == []
    notice = notice_of(plain)
    assert (notice is not None) == (name in ("11", "12"))
    if notice is not None:
        assert machine_words(text_of(pack_html(notice))) == []


def test_one_sentence_says_what_to_whom_and_by_whom(seen: Get) -> None:
    said = " ".join(seen("03").reader.text.split())
    assert (
        "The installer, for the customer, applies to the distribution network operator to connect "
        "one battery inverter of 3.6 kW on L1."
    ) in said
    told = " ".join(seen("01").reader.text.split())
    assert (
        "The installer, for the customer, tells the distribution network operator that one battery "
        "inverter of 3.6 kW on L1 was connected."
    ) in told


def test_a_notification_has_day_serial_number_and_declaration(seen: Get) -> None:
    reader = seen("01").reader
    assert reader.pairs("Commissioned on", "23 November 2026", NEAR_MM) == 1
    assert len(reader.places("INV-0001")) == 1
    assert len(reader.places("Bea Example")) == 1
    assert reader.places("I own the premises") == []


def test_a_revision_says_first_what_changed() -> None:
    pack = pack_of_file(
        FILES["application"](), revision=2, replaces=1, changes=(Change("A", "2", "1"),)
    )
    reader = Reader(render(pack))
    (changed,) = reader.places("A 2 1")
    (asked,) = reader.places("applies to the distribution network operator")
    assert changed.page == asked.page == 0
    assert changed.bottom > asked.top


def test_the_diagram_of_larger_plant_is_on_a3() -> None:
    heights = Reader(render(pack_of_file(FILES["large"]()))).heights
    assert {round(height) for height in heights} == {842, 1191}
