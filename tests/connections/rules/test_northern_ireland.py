"""Northern Ireland: micro- and small-scale generation are decided; all else names what is missing.

Limits (secondary): 3.68 kW on one phase, 11.04 kW on three; several premises within 500 m and 28
days need written agreement; 17 kW single-phase; small scale to 2 MW. Papers (secondary): G98/NI
Stage 1 for a single site, Stage 2 for several; above, the Standard Application Form with a
single-line diagram. The scope of EREC G98/NI Issue 2 sends short-term parallel plant, and plant
that runs as an island, to EREC G99/NI.
"""

import datetime as dt
from typing import Any

import pytest

from connections.assessing import Assessor
from connections.facts.site_file_error import SiteFileError
from connections.pack.build import build_pack
from connections.rulebook.checking.table import check_table
from connections.rules.decide import outcome_of
from tests.connections.rules.editions import book_of, decided_under, written_under
from tests.site_files import ALL, L1, L2, file, found, limit, procedure, read, unit

BOOK = book_of("northern_ireland", dt.date(2026, 11, 24), "ni-1")
NUMBER = {"use": "import", "scheme": "ni11", "value": "81 123 456 789"}


def micro(id: str = "a", rated_w: int = 3680, **facts: Any) -> dict[str, Any]:
    return unit(id, rated_w, **{"standard": "G98/NI", **facts})


MICRO = [
    # name, units, phases, facts, procedure
    ("3680 W", [micro()], 1, {}, "g98-single"),
    ("1840 + 1840 W", [micro("a", 1840), micro("b", 1840)], 1, {}, "g98-single"),
    ("11,040 W on three phases", [micro("a", 11_040, phases=ALL)], 3, {}, "g98-single"),
    ("3680 W on each of two phases", [micro("a"), micro("b", phases=L2)], 3, {}, "g98-single"),
    ("other premises near by", [micro()], 1, {"nearby": {"premises": 1}}, "g98-several"),
    ("on three phases, near by", [micro("a", 11_040, phases=ALL)], 3,
     {"nearby": {"premises": 1}}, "g98-several"),
]  # fmt: skip


@pytest.mark.parametrize("case", MICRO, ids=[case[0] for case in MICRO])
def test_micro_generation(case: Any) -> None:
    _, units, phases, facts, wanted = case
    assert decided_under(BOOK, *units, phases=phases, **facts).procedure == wanted


SMALL_SCALE = [
    # name, units, phases
    ("3681 W", [micro("a", 3681)], 1),
    ("1840 + 1841 W", [micro("a", 1840), micro("b", 1841)], 1),
    ("11,041 W on three phases", [micro("a", 11_041, phases=ALL)], 3),
    ("3681 W on one of three", [micro("a", 3681)], 3),
    ("17,000 W single-phase", [micro("a", 17_000)], 1),
    ("2 MW", [micro("a", 2_000_000, phases=ALL)], 3),
    ("another test, larger", [unit("a", 5000)], 1),
    ("can island", [micro(can_island=True)], 1),
    ("short-term parallel", [micro(operating_mode="short-term-parallel")], 1),
]


@pytest.mark.parametrize("case", SMALL_SCALE, ids=[case[0] for case in SMALL_SCALE])
def test_small_scale_generation_applies_first(case: Any) -> None:
    _, units, phases = case
    assert decided_under(BOOK, *units, phases=phases).procedure == "small-scale-apply"


MISSING = [
    # name, units, phases, facts, the outcome that names the rule
    ("split, above the limit", [micro("a", 3681, phases=L1)], 2, {}, "missing-small-scale"),
    ("17,001 W single-phase", [micro("a", 17_001)], 1, {}, "missing-larger"),
    ("2 MW and 1 W", [micro("a", 2_000_001, phases=ALL)], 3, {}, "missing-larger"),
    ("tested to the standard of Great Britain", [unit()], 1, {}, "missing-standing"),
    ("older plant", [unit("a", status="existing", standard="G83", commissioned_on="2015-01-01")],
     1, {}, "missing-standing"),
    ("not type tested", [micro(type_tested="no")], 1, {}, "missing-standing"),
    ("held down from 5000 W", [micro(design_w=5000)], 1, {}, "missing-standing"),
    ("split supply", [micro(phases=L1)], 2, {}, "missing-split"),
    ("high voltage", [micro()], 3, {"supply": {"voltage_level": "HV"}}, "missing-high-voltage"),
]  # fmt: skip


@pytest.mark.parametrize("case", MISSING, ids=[case[0] for case in MISSING])
def test_anything_else_names_what_is_missing(case: Any) -> None:
    _, units, phases, facts, outcome = case
    answer = decided_under(BOOK, *units, phases=phases, **facts)
    rule = next(o for o in BOOK.outcomes if o.key == outcome)
    [told] = [f for f in answer.findings if f.id == "rule-missing"]
    assert answer.procedure == "undetermined"
    assert told.severity == "stops"
    assert (told.values["missing"], told.values["ask"]) == (rule.missing, rule.ask)
    assert answer.steps == ()
    assert found(answer, "undetermined") == []


def test_the_missing_rule_in_words() -> None:
    answer = written_under(BOOK, micro("a", 17_001))
    [told] = [f for f in answer.findings if f.id == "rule-missing"]
    assert told.sentence == (
        "This rulebook (EREC G98/NI and EREC G99/NI) does not hold the rule on generation larger "
        "than small-scale in Northern Ireland; ask the network operator of Northern Ireland."
    )
    assert answer.procedure.key == "undetermined"
    assert answer.procedure.title == "Not determined: the rule is not held"
    assert answer.procedure.because[-1].fact == "voltage_level"
    assert (answer.possible, answer.unknown) == ((), ())


def test_an_open_standard_is_a_missing_fact_and_no_missing_rule() -> None:
    answer = written_under(BOOK, micro(standard=None))
    assert answer.possible == ("g98-single", "missing-standing")
    assert answer.unknown == ("units[0].standards[0].standard",)
    assert [f.id for f in answer.findings if f.severity == "stops"] == ["undetermined"]
    # However it was tested, 5 kW is small-scale: the fact does not matter.
    larger = written_under(BOOK, micro("a", 5000, standard=None))
    assert larger.procedure.key == "small-scale-apply"


def test_outcome_alone_is_undetermined_too() -> None:
    assert outcome_of(read(file(micro("a", 17_001))), BOOK) == "undetermined"


def test_seventeen_kilowatts_on_one_phase() -> None:
    assert found(decided_under(BOOK, micro("a", 17_000)), "supply-cap") == []
    assert found(decided_under(BOOK, micro("a", 17_001)), "supply-cap") == [("stops", "supply")]


def test_steps_of_several_premises() -> None:
    answer = written_under(BOOK, micro(), nearby={"premises": 2}, limits=limit(0))
    first, diagram, last = answer.steps
    assert (first.what, first.wait, first.form) == ("application", True, "G98/NI Stage 2")
    assert first.limit is not None
    assert (first.limit.n, first.limit.unit) == (90, "days")
    assert "reverse-power relay" in diagram.says
    assert (last.what, last.limit) == ("notification", None)  # no number of days was found


def test_steps_of_a_single_site() -> None:
    [step] = written_under(BOOK, micro()).steps
    assert (step.what, step.form, step.limit) == ("notification", "G98/NI Stage 1", None)


def test_steps_of_small_scale_generation() -> None:
    # Standard Application Form, a single-line diagram that shows relay and control method where
    # export is limited, load details above 200 kVA of import; no time was found.
    first, diagram, last = written_under(BOOK, micro("a", 5000), limits=limit(0)).steps
    assert (first.what, first.wait, first.limit) == ("application", True, None)
    assert first.form == "Standard Application Form"
    assert "single-line diagram" in first.attachments
    assert any("200 kVA" in attachment for attachment in first.attachments)
    assert "reverse-power relay" in diagram.says
    assert (last.when, last.what) == ("after-commissioning", "ask")


def test_no_settings_ship() -> None:
    # Those at hand are from memory and not to be relied on.
    assert BOOK.settings == ()


def test_the_table_is_whole() -> None:
    assert check_table(BOOK).complete


def test_the_cap_on_what_is_installed_ended() -> None:
    # 120 % of the export capacity, removed on 6 October 2023 (secondary).
    key = "limitation.over_install"
    assert book_of("northern_ireland", dt.date(2023, 10, 5)).whole(key) == 120
    assert key not in book_of("northern_ireland", dt.date(2023, 10, 6)).values


def test_nation_or_area_find_the_rulebook() -> None:
    assessor = Assessor()
    for premises in (
        {"nation": "northern_ireland"},
        {"licence_area": "ni-1"},
        {"nation": "northern_ireland", "supply_numbers": [NUMBER]},
    ):
        book = assessor.rulebook(read(file(micro(), premises=premises)))
        assert (book.key, book.area) == ("ni-2019", "ni-1"), premises
    with pytest.raises(SiteFileError, match=r'"ni-1" does not lie in England'):
        assessor.rulebook(
            read(file(micro(), premises={"nation": "england", "licence_area": "ni-1"}))
        )


def test_a_number_of_the_wrong_kind_is_told() -> None:
    british = {"use": "import", "scheme": "gb13", "value": "9912345678906"}
    answer = written_under(BOOK, micro(), premises={"supply_numbers": [british]})
    [told] = [f for f in answer.findings if f.id == "supply-number-scheme"]
    assert (told.severity, told.values) == ("decide", {"scheme": "gb13", "named": "ni11"})
    right = written_under(BOOK, micro(), premises={"supply_numbers": [NUMBER]})
    assert [f for f in right.findings if f.id == "supply-number-scheme"] == []


def test_in_great_britain_the_standard_counts_as_an_issue_of_g98() -> None:
    assert procedure(micro()) == "g98-single"


@pytest.mark.parametrize("rated_w", [3680, 3681, 17_001])
def test_a_pack_can_be_made(rated_w: int) -> None:
    site = read(file(micro("a", rated_w), premises={"nation": "northern_ireland"}))
    assessor = Assessor()
    pack = build_pack(
        site,
        assessor.decide(site).decision,
        assessor.rulebook(site),
        reference=site.reference,
        prepared_on=site.on_date,
        salt="of this test, and long enough",
    )
    kinds = {3680: "notification", 3681: "application", 17_001: "assessment"}
    assert pack.procedure.kind == kinds[rated_w]
