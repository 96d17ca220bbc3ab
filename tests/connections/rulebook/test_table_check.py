"""Gaps and rows that can't be reached: found in a doctored table, not in the shipped one."""

import datetime as dt
import time
from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.facts.deciding import BY_NAME
from connections.rulebook.book import Condition, Outcome, Rulebook, TableRow
from connections.rulebook.checking.table import check_table
from connections.rulebook.load import load_books, resolve
from connections.rulebook.words import WORDS

BOOK = resolve(load_books(), on=dt.date(2026, 11, 24))
SOURCE = BOOK.table[0].source


def with_rows(*rows: TableRow) -> Rulebook:
    outcomes = tuple(
        Outcome(key, key, "Says.", "none") for key in dict.fromkeys(r.outcome for r in rows)
    )
    return msgspec.structs.replace(BOOK, table=rows, outcomes=outcomes)


def row(row_id: str, *when: Condition) -> TableRow:
    return TableRow(row_id, row_id, when, SOURCE, "published")


def without(row_id: str) -> Rulebook:
    table = tuple(r for r in BOOK.table if r.id != row_id)
    assert len(table) == len(BOOK.table) - 1
    return msgspec.structs.replace(BOOK, table=table)


def test_the_shipped_table_is_whole() -> None:
    began = time.process_time()
    report = check_table(BOOK)
    assert time.process_time() - began < 2
    assert report.complete
    assert (report.gaps, report.unreachable, report.unanswered) == ((), (), ())


def test_without_its_last_row_there_is_a_gap() -> None:
    report = check_table(without("beyond"))
    assert report.unanswered == ("beyond",)
    assert report.gaps
    assert all(
        "largest_module exactly 10000000 W" in gap or "largest_module above 10000000 W" in gap
        for gap in report.gaps
    )


def test_a_row_behind_a_wider_one_is_never_reached() -> None:
    rows = {r.id: r for r in BOOK.table}
    order = [*BOOK.table]
    wide, narrow = order.index(rows["g99-full-b"]), order.index(rows["g99-full-a"])
    order[wide], order[narrow] = order[narrow], order[wide]
    report = check_table(msgspec.structs.replace(BOOK, table=tuple(order)))
    assert report.unreachable == ("g99-full-a",)
    assert report.unanswered == ("g99-full-a",)
    assert report.gaps == ()


def test_the_exact_limit_left_out_on_both_sides_is_a_gap() -> None:
    report = check_table(
        with_rows(
            row("below", Condition("total", "below", "g99-short.single_limit")),
            row("above", Condition("total", "above", "g99-short.single_limit")),
        )
    )
    assert report.gaps == ("total exactly 17000 W",)


@pytest.mark.parametrize(
    ("reading", "gaps"), [("balance.reading_one", 0), ("sgi-2.sum_reading", 1)]
)
def test_an_inclusive_reading_closes_the_gap(reading: str, gaps: int) -> None:
    # balance.reading_one is "inclusive", sgi-2.sum_reading "strict".
    report = check_table(
        with_rows(
            row("below", Condition("total", "below", "size.b_from", reading=reading)),
            row("above", Condition("total", "above", "size.b_from")),
        )
    )
    assert len(report.gaps) == gaps


def test_watts_and_amps_meet_on_one_scale() -> None:
    # 0.8 kW at 230 V is 3.478 A, below 16 A.
    report = check_table(
        with_rows(
            row("small", Condition("largest_rated", "at_most", "size.a_from")),
            row("middle", Condition("largest_rated", "below", "g98.unit_limit")),
            row("never", Condition("largest_rated", "at_most", "size.a_from")),
        )
    )
    assert report.unreachable == ("never",)
    assert report.gaps == ("largest_rated exactly 16000 mA", "largest_rated above 16000 mA")


def test_what_can_not_be_is_no_gap() -> None:
    # One unit above 32 A a phase beside a sum of at most 16 A can't be.
    report = check_table(
        with_rows(
            row("small", Condition("largest_rated", "at_most", "sgi.design_limit")),
            row("large", Condition("largest_phase_sum", "above", "g98.sum_limit")),
        )
    )
    assert report.gaps == ()
    # The other way round a row asks for what can't be.
    report = check_table(
        with_rows(
            row(
                "never",
                Condition("largest_phase_sum", "at_most", "g98.sum_limit"),
                Condition("largest_rated", "above", "sgi.design_limit"),
            ),
            row("rest", Condition("voltage_level", "one_of", literal=("LV", "HV"))),
        )
    )
    assert report.unreachable == ("never",)


def test_an_empty_table_is_one_gap() -> None:
    report = check_table(msgspec.structs.replace(BOOK, table=(), outcomes=()))
    assert report.gaps == ("any",)


CHOICES = [
    Condition("voltage_level", "is", literal="LV"),
    Condition("supply_kind", "one_of", literal=("split", "three-phase")),
    Condition("accepted_as_micro", "is", literal=True),
    Condition("accepted_as_micro", "is", literal=False),
    Condition("largest_rated", "at_most", "g98.unit_limit"),
    Condition("largest_rated", "above", "g98.unit_limit"),
    Condition("largest_phase_sum", "below", "sgi-2.sum_limit"),
    Condition("largest_phase_sum", "at_least", "g98.sum_limit"),
    Condition("total", "below", "g99-short.single_limit", reading="g99-short.reading"),
    Condition("total", "at_least", "g99-short.three_limit"),
    Condition("nearby_premises", "is", literal=0),
    Condition("nearby_premises", "at_least", "nearby.several_from"),
]
TABLES = st.lists(
    st.lists(st.sampled_from(CHOICES), min_size=1, max_size=3), min_size=1, max_size=5
)
POINTS = {
    "largest_rated": [Fraction(n) for n in (0, 1_000, 16_000, 16_001, 31_000, 40_000)],
    "largest_phase_sum": [Fraction(n) for n in (0, 16_000, 20_000, 31_999, 32_000, 50_000)],
    "total": [Fraction(n) for n in (0, 16_999, 17_000, 20_000, 50_000, 60_000)],
    "nearby_premises": [Fraction(n) for n in (0, 1, 5)],
}


@given(TABLES, st.data())
def test_agrees_with_sites_drawn_at_random(
    conditions: list[list[Condition]], data: st.DataObject
) -> None:
    """A row that a drawn site meets first is reached; a site that meets none shows a gap."""
    table = with_rows(*(row(f"row-{n}", *when) for n, when in enumerate(conditions)))
    report = check_table(table)
    for _ in range(20):
        site: dict[str, object] = {
            fact: data.draw(st.sampled_from(points)) for fact, points in POINTS.items()
        }
        site |= {fact: data.draw(st.sampled_from(words)) for fact, words in WORDS.items()}
        site |= {"accepted_as_micro": data.draw(st.booleans())}
        if site["largest_rated"] > site["largest_phase_sum"]:  # type: ignore[operator]
            continue
        met = next((r.id for r in table.table if all(holds(c, site[c.fact]) for c in r.when)), None)
        if met is None:
            assert report.gaps
        else:
            assert met not in report.unreachable


def holds(condition: Condition, value: object) -> bool:
    """The comparison once more, written out plainly."""
    if BY_NAME[condition.fact].kind in ("yes-no", "word"):
        literal = condition.literal
        return value in literal if isinstance(literal, tuple) else value == literal
    assert isinstance(value, Fraction)
    against = condition.against
    limit = BOOK.whole(against) if against else condition.literal
    assert isinstance(limit, int)
    return {
        "at_most": value <= limit,
        "below": value < limit,
        "at_least": value >= limit,
        "above": value > limit,
        "is": value == limit,
    }[condition.op]
