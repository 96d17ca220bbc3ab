"""The decision file as it is written: what the format says must be there, and its workings."""

from connections.rules.writing import write_decision
from tests.site_files import ALL, book, cells, decided, decision, limit, site, unit


def test_head():
    answer = decision(unit())
    assert (answer.format, answer.reference, answer.area) == (
        "decision/1",
        "T-1 (invented)",
        "gb-12",
    )
    assert answer.on_date.isoformat() == "2026-11-24"
    assert answer.rulebook.key == "gb-2025"
    assert answer.rulebook.digest == book().digest
    assert answer.rulebook.layers[0] == "gb-2025"


def test_sums_have_their_terms_in_view():
    answer = decision(
        unit("pv", 345, quantity=10, status="existing", commissioned_on="2024-05-01"),
        cells("bat", 5000, phases=ALL),
        phases=3,
    )
    first, second, _ = answer.phase_sums
    assert [(t.unit, t.status, t.quantity, t.rated_w, t.phases) for t in first.terms] == [
        ("pv", "existing", 10, 345, 1),
        ("bat", "proposed", 1, 5000, 3),
    ]
    # L1: 10 x 345 + 5000 / 3 = 5116.67 W; in sixths of a watt 20,700 + 10,000 = 30,700.
    assert first.sixths_w == 30_700
    assert first.ma == 22_246  # 30700 / 6 / 230 A
    # L2: 5000 / 3 W; in sixths 10,000.
    assert (second.sixths_w, second.ma) == (10_000, 7246)
    assert answer.per_phase_ma == {s.phase: s.ma for s in answer.phase_sums}
    assert answer.per_phase_exact == {s.phase: s.exact_ma for s in answer.phase_sums}


def test_open_sums_are_not_guessed():
    answer = decision(unit("a", None, phases=["L2"]), cells("b", 3000), phases=3)
    assert answer.per_phase_ma == {"L1": 13_043, "L2": None, "L3": 0}
    assert answer.per_phase_exact["L2"] is None
    assert (answer.total_w, answer.facility_w, answer.export_w) == (None, None, None)
    assert answer.procedure.key == "undetermined"
    assert answer.unknown == ("units[0].rated_w",)


def test_every_earlier_procedure_says_why_not():
    answer = decision(unit("a", 9000))
    assert answer.procedure.key == "g99-short"
    by_row = {entry.row: entry for entry in answer.procedure.not_because}
    assert list(dict.fromkeys(e.key for e in answer.procedure.not_because)) == [
        "nothing-parallel", "plug-in", "dc-side",
        "g98-single", "g98-several", "sgi-1", "sgi-2", "sgi-3",
    ]  # fmt: skip
    design = next(c for c in by_row["sgi-3-limited"].failed if c.fact == "largest_design")
    # 9000 / 230 = 39.130 A against 32 A.
    assert (design.value, design.limit, design.unit, design.result) == (39_130, 32_000, "mA", False)
    assert design.margin == 32_000 - 39_130 - 1  # rounded towards the limit: 39,130.43 mA
    assert design.key == "sgi.design_limit"
    assert "G99" in design.source
    assert design.certainty == "published"


def test_reasons_have_margins():
    answer = decision(unit("a", 3000))
    rated = next(c for c in answer.procedure.because if c.fact == "largest_rated")
    # 16,000 - 13,043.48 = 2956.52 mA: never shown as more than there is.
    assert (rated.op, rated.value, rated.limit, rated.margin) == ("at_most", 13_043, 16_000, 2956)
    exact = decision(unit("a", 3680))
    rated = next(c for c in exact.procedure.because if c.fact == "largest_rated")
    assert (rated.value, rated.margin) == (16_000, 0)


def test_the_trace_is_there_when_asked_for():
    answer = decided(unit("a", 5000))
    assert write_decision(answer).trace == ()
    trace = write_decision(answer, explain=True).trace
    facts = {comparison.fact for comparison in trace}
    assert {"voltage_level", "accepted_as_micro", "largest_rated", "largest_phase_sum"} <= facts
    assert all(comparison.paths for comparison in trace)
    limits = [comparison for comparison in trace if comparison.key]
    assert all(c.source and c.certainty and c.layer for c in limits)
    # Limits of two clauses stay apart where they are equal: 16 A in G98 and in SGI-1.
    keys = [comparison.key for comparison in limits]
    assert {"g98.unit_limit", "g98.sum_limit", "sgi-1.unit_limit", "sgi-1.sum_limit"} <= set(keys)


def test_findings_say_what_they_read_and_where_the_limit_comes_from():
    answer = decision(unit("a", 17_001))
    told = next(f for f in answer.findings if f.id == "supply-cap")
    assert told.keys == ("supply.single_cap",)
    assert "7.6.1" in told.sources[0]
    assert {"units[0].rated_w", "supply.phases"} <= set(told.facts)
    assert (told.margin, told.margin_unit) == (-1, "W")
    assert len(told.basis) == 64


def test_figures_are_in_the_sentences():
    answer = decision(unit("a", 5000), cells("b", 5000), limits=limit(16_000))
    told = next(f for f in answer.findings if f.id == "tighter-limit")
    assert "16 A" in told.sentence
    assert "32 A" in told.sentence


def test_numbers_in_the_file_are_never_lowered():
    # The rating as entered, whatever the panels, the cells or the limit say.
    given = site(
        cells("b", 4600),
        arrays=[{"unit_id": "b", "peak_w": 1000}],
        storage=[{"unit_id": "b", "discharge_w": 2000, "exports": False}],
        limits=limit(0),
    )
    assert given.units[0].rated_w == 4600
    assert decision(cells("b", 4600), limits=limit(0)).total_w == 4600
