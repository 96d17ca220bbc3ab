"""The derivation of a decision: every fact, comparison, value and layer, with its words."""

import datetime as dt
from pathlib import Path
from typing import Any

import msgspec
import pytest

from connections.facts.canonical import canonical
from connections.facts.decision import Comparison
from connections.facts.derivation import Compared, Derivation, RowTried
from connections.facts.reading import read_site
from connections.rulebook.book import Rulebook
from connections.rulebook.load import load_books, read_local, resolve
from connections.rules.decide import decide
from connections.rules.explaining.derivation import derivation, lines_of, value_used
from connections.rules.writing import write_decision
from tests.site_files import ALL, DEMO, ON, book, cells, file, limit, read, unit

LOCAL = b"""
[book]
format = "rulebook/1"
kind = "local"
key = "the-firm"
title = "Entries of an invented firm"
from = 2026-01-01

[[source]]
id = "letter"
title = "Letter of the operator (invented)"
kind = "letter"
has_clauses = false

[[value]]
key = "sgi-2.sum_reading"
says = "This operator lets exactly 32 A in."
unit = "text"
applies_to = "small generation installations with an export limit"
value = "inclusive"
source = { document = "letter" }
checked = 2026-07-06

[[value]]
key = "sgi-3.sum_limit"
says = "The bound of the sum that this operator takes."
unit = "mA"
applies_to = "tests"
value = "45 A"
source = { document = "letter" }
checked = 2026-07-06
"""


def told(*units: dict[str, Any], rulebook: Rulebook | None = None, **facts: Any) -> Derivation:
    return derivation(decide(read(file(*units, **facts)), rulebook or book()))


def row_of(made: Derivation, row_id: str) -> RowTried:
    return next(row for row in made.rows if row.id == row_id)


def comparison_of(made: Derivation, row_id: str, fact: str) -> Compared:
    return next(c for c in row_of(made, row_id).comparisons if c.fact == fact)


def with_local() -> Rulebook:
    books = load_books()
    local = read_local(LOCAL, "firm.toml", books)
    return resolve(books, on=ON, area="gb-12", nation="england", local=[local])


# Facts


def test_a_fact_has_its_value_its_workings_and_its_places() -> None:
    made = told(unit("a", 5000), cells("b", 3680, quantity=2))
    fact = next(fact for fact in made.facts if fact.name == "largest_phase_sum")
    # 5000 + 2 x 3680 = 12360 W; 12360 / 230 = 53.739 A
    assert (fact.value, fact.unit, fact.lowest, fact.highest) == (53_739, "mA", None, None)
    assert fact.workings == "L1: a 5000 W + b 2 x 3680 W = 12360 W, 53.74 A at 230 V"
    read_there = {place.path: place for place in fact.read}
    assert read_there["units[0].rated_w"].value == 5000
    assert read_there["units[1].quantity"].value == 2
    assert read_there["units[1].phases"].value == ["L1"]
    assert (read_there["units[0].quantity"].value, read_there["units[0].quantity"].left_out) == (
        None,
        True,
    )


def test_a_unit_on_three_phases_and_one_that_is_removed() -> None:
    made = told(unit("a", 10_000, phases=ALL), unit("gone", 3000, status="removed"), phases=3)
    facts = {fact.name: fact for fact in made.facts}
    # 10000 / 3 = 3333.3 W a phase; / 230 = 14.493 A
    assert facts["largest_rated"].value == 14_493
    assert facts["largest_rated"].workings == "a: 10000 W / 3 phases at 230 V"
    assert facts["largest_phase_sum"].workings.startswith(
        "L1: a 10000 W / 3 about 3333 W, 14.49 A at 230 V; L2: "
    )
    assert {place.path for place in facts["largest_rated"].read} == {
        "units[0].rated_w",
        "units[0].phases",
    }


def test_an_open_fact_is_a_range() -> None:
    made = told(unit("a", 3680, type_tested=None), unit("b", None, design_w=5000))
    facts = {fact.name: fact for fact in made.facts}
    assert facts["accepted_as_micro"].value is False  # 5 kW can't be tested as micro-generation
    rated = facts["largest_rated"]
    assert rated.value is None
    assert rated.lowest == 16_000
    assert rated.highest is not None
    assert rated.highest > 10**9
    assert "not known, from 16 A up" in rated.sentence
    assert "units[1].rated_w is not known" in rated.sentence
    assert rated.workings == ""


def test_many_units_do_not_make_a_long_sentence() -> None:
    made = told(*(unit(f"u{n}", 345) for n in range(40)))
    assert all(len(fact.sentence) < 500 for fact in made.facts)
    rated = next(fact for fact in made.facts if fact.name == "largest_rated")
    assert len(rated.read) == 80
    assert "and 74 more)" in rated.sentence


# Rows and comparisons


def test_rows_are_told_up_to_the_one_that_settles_it() -> None:
    made = told(unit("a", 5000), limits=limit(16_000))
    assert [row.id for row in made.rows] == [
        "nothing-parallel",
        "plug-in",
        "dc-side",
        "g98-single",
        "g98-several",
        "sgi-1",
        "sgi-2",
        "sgi-3-limited",
    ]
    assert [row.result for row in made.rows] == [False] * 7 + [True]
    assert [row.settles for row in made.rows] == [False] * 7 + [True]
    assert (made.settled_by, made.procedure) == ("sgi-3-limited", "sgi-3")
    assert row_of(made, "sgi-2").sentence == (
        "Row sgi-2 does not hold: 1 of 8 conditions fails (EREC G99, Issue 2 (2025), 6.2.2.3; "
        "published)."
    )
    assert made.sentence == (
        "Short application: small generation installation below 60 A: row sgi-3-limited is the "
        "first that holds."
    )


@pytest.mark.parametrize(
    ("rated_w", "row", "fact", "value", "limit_ma", "margin", "result", "words"),
    [
        # 5000 / 230 = 21.7391 A; 16 - 21.7391 = -5.7391, told as 5.74: never less than it is
        (5000, "sgi-1", "largest_rated", 21_739, 16_000, -5740, False,
         "21.74 A is not at most 16 A, 5.74 A too much"),
        # 3000 / 230 = 13.0435 A; 16 - 13.0435 = 2.9565, told as 2.956: never more than there is
        (3000, "g98-single", "largest_rated", 13_043, 16_000, 2956, True,
         "13.04 A is at most 16 A, 2.96 A to spare"),
        (3680, "g98-single", "largest_phase_sum", 16_000, 16_000, 0, True,
         "16 A is at most 16 A, exactly at it"),
    ],
)  # fmt: skip
def test_a_comparison_has_value_limit_and_margin(
    rated_w: int,
    row: str,
    fact: str,
    value: int,
    limit_ma: int,
    margin: int,
    result: bool,
    words: str,
) -> None:
    made = comparison_of(told(unit("a", rated_w)), row, fact)
    assert (made.value, made.limit, made.unit, made.margin, made.result) == (
        value,
        limit_ma,
        "mA",
        margin,
        result,
    )
    assert words in made.sentence
    assert made.key in made.sentence
    assert made.source in made.sentence
    assert made.certainty in made.sentence


def test_an_ambiguous_limit_is_told_with_its_reading() -> None:
    # 2 x 3680 W = 7360 W = 32 A, which the bound of sgi-2 leaves out in the strict reading
    units = (unit("a", 3680, design_w=7360, standard="G99", limited_by="maker"),)
    made = told(*units, cells("b", 3680), limits=limit(16_000))
    sum_ = comparison_of(made, "sgi-2", "largest_phase_sum")
    assert (sum_.result, sum_.reading, sum_.margin) == (False, "sgi-2.sum_reading", 0)
    assert sum_.sentence.startswith(
        "The aggregate registered capacity on the fullest phase: 32 A is not below 32 A, exactly "
        "at it, which the text can be read to let in (sgi-2.sum_reading is strict)"
    )
    assert "Read the other way it would be: " in made.sentence


@pytest.mark.parametrize(
    ("row", "fact", "words"),
    [
        ("g98-single", "voltage_level", "The supply's voltage level: LV, as wanted."),
        (
            "g98-single",
            "accepted_as_micro",
            "Every counted unit is fully type tested as micro-generation, or is older plant that "
            "still counts so: no, where yes is wanted.",
        ),
        ("sgi-2", "export_limit", "per phase: none, where at most 16 A is wanted ("),
    ],
)
def test_words_and_switches_say_what_is_wanted(row: str, fact: str, words: str) -> None:
    assert words in comparison_of(told(unit("a", 5000)), row, fact).sentence


def test_an_undetermined_site_says_which_row_is_open_and_what_is_missing() -> None:
    made = told(unit("a", 3680, type_tested=None))
    assert (made.procedure, made.settled_by) == ("undetermined", "")
    assert len(made.possible) > 1
    assert made.rows[-1].result is None
    assert made.rows[-1].sentence.startswith(
        "Row g98-single can't be told: 1 of 8 conditions can't"
    )
    tested = comparison_of(made, "g98-single", "accepted_as_micro")
    assert tested.result is None
    assert "can't be told, where yes is wanted" in tested.sentence
    assert (
        "without units[0].standards[0].type_tested; it could be: Connect and notify"
        in made.sentence
    )
    assert made.steps == ()


def test_one_outcome_whatever_the_missing_facts_are() -> None:
    # Neither the standing nor the standard of a unit changes what 18 kW on one phase needs.
    made = told(unit("a", 18_000, type_tested=None), phases=1)
    assert made.procedure != "undetermined"
    assert made.rows[-1].settles


# Values and layers


def test_every_value_that_took_part_is_told_once() -> None:
    made = told(unit("a", 5000), limits=limit(16_000))
    keys = [value.key for value in made.values]
    assert len(keys) == len(set(keys))
    used = {c.key for row in made.rows for c in row.comparisons if c.key}
    used |= {c.reading for row in made.rows for c in row.comparisons if c.reading}
    used |= {key for step in made.steps for key in step.keys}
    used |= {c.key for step in made.steps for c in step.comparisons if c.key}
    used |= {key for finding in made.findings for key in finding.keys}
    assert set(keys) == used
    answer = made.value("time.sgi_answer")
    assert answer is not None
    assert (answer.won.written, answer.won.layer) == ("10 working days", "gb-2025")
    assert answer.won.clause == "6.2.2.3 and 6.2.2.4"
    assert made.value("no.such") is None


def test_the_layer_that_won_and_what_lies_beneath() -> None:
    rulebook = with_local()
    made = told(unit("a", 5000), limits=limit(16_000), rulebook=rulebook)
    assert [layer.key for layer in made.layers] == ["gb-2025", "south-east-2025", "the-firm"]
    bound = made.value("sgi-3.sum_limit")
    assert bound is not None
    assert (bound.won.layer, bound.won.written, bound.won.certainty) == (
        "the-firm",
        "45 A",
        "local",
    )
    assert [(lower.layer, lower.written) for lower in bound.beneath] == [("gb-2025", "60 A")]
    assert bound.sentence.endswith(
        " It replaces 60 A from Great Britain, connection rules of 2025 (EREC G99, Issue 2 "
        "(2025), 6.2.2.4; published)."
    )
    compared = comparison_of(made, "sgi-3-limited", "largest_phase_sum")
    assert (compared.limit, compared.layer) == (45_000, "the-firm")
    assert "; Entries of an invented firm in place of 60 A)" in compared.sentence


def test_an_operators_value_shows_the_edition_beneath_it() -> None:
    notice = value_used(book("gb-12"), "time.load_notice")
    assert (notice.won.layer, notice.won.written) == ("south-east-2025", "0 days")
    assert [(lower.layer, lower.written) for lower in notice.beneath] == [("gb-2025", "28 days")]
    assert value_used(book("gb-11"), "time.load_notice").beneath == ()


def test_what_lies_beneath_is_no_part_of_the_digest() -> None:
    rulebook = with_local()
    bare = msgspec.structs.replace(rulebook, beneath={}, given_by={})
    assert bare.digest == rulebook.digest
    site = read(file(unit("a", 5000), limits=limit(16_000)))
    # Whichever of the two is asked first, each tells what it has itself.
    for one, count in ((bare, 0), (rulebook, 1), (bare, 0)):
        value = derivation(decide(site, one)).value("sgi-3.sum_limit")
        assert value is not None
        assert len(value.beneath) == count


BESIDE = b"""
[[export_cap]]
id = "north"
says = "The feeder takes no more."
feeders = ["North 7"]
per = "total"
unit = "W"
limit = "5 kW"
source = { document = "letter" }
checked = 2026-07-06

[[condition]]
id = "photo"
says = "This operator wants a picture of the cut-out."
when = [{ fact = "largest_rated", above = "g98.unit_limit" }]
severity = "decide"
asks = "Send a picture of the cut-out."
source = { document = "letter" }
checked = 2026-07-06
"""


@pytest.mark.parametrize(
    ("rated_w", "feeder", "asked", "where", "words"),
    [
        # 3680 W is 16 A, not above the 16 A that the condition asks for.
        (3680, "South 1", False, "", "does not hold for this site"),
        (3681, "north 7", True, "feeder", "holds for this site"),
        (3681, None, True, "", "may hold for this site, of which the feeder or the postcode"),
    ],
)
def test_conditions_and_caps_beside_the_table_are_told(
    rated_w: int, feeder: str | None, asked: bool, where: str, words: str
) -> None:
    books = load_books()
    local = read_local(LOCAL + BESIDE, "firm.toml", books)
    rulebook = resolve(books, on=ON, area="gb-12", nation="england", local=[local])
    made = told(unit("a", rated_w), rulebook=rulebook, premises={"feeder": feeder})
    (condition,) = made.conditions
    assert (condition.result, condition.layer) == (asked, "the-firm")
    assert condition.comparisons[0].result is asked
    assert condition.sentence.startswith("Asked here: " if asked else "Not asked here: ")
    (cap,) = made.caps
    assert (cap.where, cap.written) == (where, "5 kW")
    assert words in cap.sentence
    assert "5 kW in all at the feeder North 7" in cap.sentence
    assert cap.sentence in [line.removeprefix("- ") for line in lines_of(made)]


# Steps and findings


def test_steps_say_why_they_are_needed_or_not() -> None:
    made = told(unit("a", 5000), limits=limit(16_000))
    decided = decide(read(file(unit("a", 5000), limits=limit(16_000))), book())
    needed = [step for step in made.steps if step.result is not False]
    assert [step.says for step in needed] == [step.says for step in decided.steps]
    left_out = [step for step in made.steps if step.result is False]
    assert left_out
    for step in left_out:
        assert step.sentence.startswith("Not needed here: ")
        assert any(c.result is False for c in step.comparisons)
    assert all(step.layer == "gb-2025" for step in made.steps)


def test_findings_name_their_values_and_places() -> None:
    made = told(unit("a", 18_000), phases=1)
    cap = next(finding for finding in made.findings if finding.id == "supply-cap")
    assert (cap.severity, cap.keys) == ("stops", ("supply.single_cap",))
    assert ("units[0].rated_w", 18_000) in {
        (place.path, place.value) for place in cap.read if isinstance(place.value, int)
    }
    assert made.value("supply.single_cap") is not None


# As a whole


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_it_agrees_with_the_decision(path: Path) -> None:
    site = read_site(path.read_bytes())
    decided = decide(site, book())
    decision = write_decision(decided, explain=True)
    made = decision.derivation
    assert isinstance(made, Derivation)
    assert (made.procedure, made.title) == (decision.procedure.key, decision.procedure.title)
    assert made.digest == decision.rulebook.digest
    failed = {
        (row.id, c.fact, c.key) for row in made.rows for c in row.comparisons if c.result is False
    }
    assert failed >= {
        (reason.row, c.fact, c.key)
        for reason in decision.procedure.not_because
        for c in reason.failed
    }
    traced = {_as_told(c) for c in decision.trace}
    assert traced <= {_as_told(c) for row in made.rows for c in row.comparisons}
    facts = {fact.name for fact in made.facts}
    assert {c.fact for row in made.rows for c in row.comparisons} <= facts
    lines = list(lines_of(made))
    assert all("None" not in line and "UNSET" not in line for line in lines)
    for sentence in _sentences(made):
        assert sentence[0].isupper() or sentence[0].islower()
        assert sentence.endswith(".")
        assert ".." not in sentence
    assert msgspec.json.decode(canonical(made), type=Derivation) == made


def _as_told(c: Comparison | Compared) -> tuple[object, ...]:
    return (c.fact, c.key, repr(c.value), repr(c.limit), c.unit, c.margin, c.result, c.source)


def _sentences(made: Derivation) -> list[str]:
    found = [made.sentence]
    found += [fact.sentence for fact in made.facts]
    found += [value.sentence for value in made.values]
    for row in made.rows:
        found += [row.sentence, *(c.sentence for c in row.comparisons)]
    for step in made.steps:
        found += [step.sentence, *(c.sentence for c in step.comparisons)]
    return found


def test_only_who_asks_gets_it() -> None:
    decided = decide(read(file(unit("a", 5000))), book())
    assert b'"derivation"' not in canonical(write_decision(decided))
    assert b'"derivation"' in canonical(write_decision(decided, explain=True))


def test_the_day_stands_in_words() -> None:
    assert next(lines_of(told(unit("a", 3680)))) == "T-1 (invented), as on 24 November 2026"
    assert dt.date(2026, 11, 24) == ON
