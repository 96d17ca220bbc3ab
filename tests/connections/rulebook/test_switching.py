"""Rows that a value of the rulebook switches on: the plug-in route, which is switched off.

The route (one secondary source): one listed kit at a premises, at most 800 W and 2 kWp, without
storage, with wired plant at most 16 A (3680 W) on each phase.
"""

import datetime as dt
from typing import Any

import pytest

from connections.rulebook.book import Rulebook
from connections.rulebook.checking.table import check_table
from connections.rulebook.load import Books, RulebookError, load_books, read_local, resolve
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.site_files import decided, file, read, unit

ON = dt.date(2026, 11, 24)
SWITCH = b"""
[book]
format = "rulebook/1"
kind = "local"
key = "with-the-route"
title = "Entries of an invented firm"
from = 2026-08-27

[[source]]
id = "letter"
title = "Letter of the network operator (invented)"
kind = "letter"
has_clauses = false

[[value]]
key = "plug_in.enabled"
says = "The operator takes plug-in kits (invented)."
unit = "yes-no"
applies_to = "plug-in micro-generation"
value = true
source = { document = "letter" }
checked = 2026-11-24
"""


def switched_on(shipped: Books) -> Rulebook:
    return resolve(shipped, on=ON, local=[read_local(SWITCH, "firm.toml", shipped)])


def kit(id: str = "kit", rated_w: int = 800, **facts: Any) -> dict[str, Any]:
    return unit(id, rated_w, **{"standard": "G98 plug-in", **facts})


def test_switched_off_it_takes_no_part_and_is_no_fault(shipped: Books, book: Rulebook) -> None:
    [edition] = [part for part in shipped.editions if part.key == "gb-2025"]
    assert [row.id for row in edition.rows if row.switch] == ["plug-in"]
    assert "plug-in" not in [row.id for row in book.table]
    assert "plug-in" not in [outcome.key for outcome in book.outcomes]
    assert all("plug-in" not in step.outcomes for step in book.steps)
    assert check_table(book).complete
    # Meanwhile a kit is micro-generation like any other.
    assert decided(kit()).procedure == "g98-single"


def test_switched_on_it_is_tried_first(shipped: Books, book: Rulebook) -> None:
    on = switched_on(shipped)
    assert [o.key for o in on.outcomes] == [
        "nothing-parallel", "plug-in", *(o.key for o in book.outcomes[1:]),
    ]  # fmt: skip
    assert check_table(on).complete
    assert on.digest != book.digest


ROUTE = [
    # name, units, arrays and cells, procedure
    ("800 W, 2 kWp", [kit()], {"arrays": [{"unit_id": "kit", "peak_w": 2000}]}, "plug-in"),
    ("801 W", [kit(rated_w=801)], {"arrays": [{"unit_id": "kit", "peak_w": 2000}]}, "g99-short"),
    ("2001 Wp", [kit()], {"arrays": [{"unit_id": "kit", "peak_w": 2001}]}, "g99-short"),
    ("panels that go do not count", [kit()],
     {"arrays": [{"unit_id": "kit", "peak_w": 2000},
                 {"unit_id": "kit", "peak_w": 2000, "status": "removed"}]}, "plug-in"),
    ("panels not known", [kit()], {"arrays": [{"unit_id": "kit", "peak_w": None}]}, "g99-short"),
    ("two kits", [kit(rated_w=400, quantity=2)], {}, "g99-short"),
    ("one there, one to come",
     [kit(rated_w=400, status="existing", commissioned_on="2026-09-01"), kit("kit-2", 400)],
     {}, "g99-short"),
    ("with cells", [kit()], {"storage": [{"unit_id": "kit", "usable_wh": 1000}]}, "g99-short"),
    ("beside 2880 W of wired plant: 16 A",
     [unit("a", 2880, status="existing", commissioned_on="2020-01-01"), kit()], {}, "plug-in"),
    ("beside 2881 W of wired plant",
     [unit("a", 2881, status="existing", commissioned_on="2020-01-01"), kit()], {}, "g99-short"),
    ("with wired plant to come", [unit("a", 1000), kit()], {}, "g99-short"),
    ("not listed", [kit(type_tested="no")], {}, "g99-short"),
    ("a wired unit of 800 W", [unit("a", 800)], {}, "g98-single"),
]  # fmt: skip


@pytest.mark.parametrize("case", ROUTE, ids=[case[0] for case in ROUTE])
def test_the_route_where_it_is_on(shipped: Books, case: Any) -> None:
    _, units, parts, wanted = case
    answer = decide(read(file(*units, **parts)), switched_on(shipped))
    assert answer.procedure == wanted


def test_what_is_open_is_asked_for(shipped: Books) -> None:
    site = read(file(kit(standard=None)))
    answer = write_decision(decide(site, switched_on(shipped)))
    assert answer.possible[:2] == ("plug-in", "g98-single")
    assert answer.unknown == ("units[0].standard",)


def test_the_step_of_the_route(shipped: Books) -> None:
    answer = write_decision(decide(read(file(kit())), switched_on(shipped)))
    assert [(s.when, s.what, s.wait) for s in answer.steps] == [
        ("after-commissioning", "notification", False)
    ]


@pytest.mark.parametrize(
    ("switch", "words"),
    [
        ("a.power", 'a.power is in "W", where "yes-no" is wanted; it is a row\'s switch'),
        ("a.switch", 'there is no value "a.switch"; check its spelling'),
    ],
)
def test_a_switch_is_a_yes_no_value(small_data: Any, switch: str, words: str) -> None:
    path = small_data / "editions/small/edition.toml"
    path.write_text(
        path.read_text().replace(
            'id = "small"\noutcome', f'id = "small"\nswitch = "{switch}"\noutcome'
        )
    )
    with pytest.raises(RulebookError) as refused:
        load_books(small_data)
    assert refused.value.fault == words


def test_a_missing_rule_says_who_knows_it(small_data: Any) -> None:
    path = small_data / "editions/small/edition.toml"
    path.write_text(
        path.read_text().replace('serves = "Form L"', 'serves = "Form L"\nmissing = "large plant"')
    )
    with pytest.raises(RulebookError, match="`missing` and `ask` go together"):
        load_books(small_data)
