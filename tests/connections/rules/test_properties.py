"""What holds for every site."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from connections.facts.canonical import canonical
from connections.rules.decide import decide, outcome_of
from connections.rules.writing import write_decision
from tests.connections.rules.any_site import limits, sites, units
from tests.connections.rules.plain_reading import capacity, counted, number, outcome
from tests.site_files import book, read


def decide_file(content):
    return decide(read(content), book())


@given(sites())
def test_a_second_reading_of_the_table_agrees(content):
    answer = decide_file(content)
    assert answer.procedure == outcome(content)
    assert answer.case.possible.outcomes == (answer.procedure,)
    assert outcome_of(read(content), book()) == answer.procedure


@given(sites())
def test_a_second_sum_agrees(content):
    made = write_decision(decide_file(content))
    for phase, pair in made.per_phase_exact.items():
        wanted = sum(
            (capacity(u) * number(u) * 1000
             for u in content["units"] if counted(u) and phase in u["phases"]),
            Fraction(0),
        )  # fmt: skip
        assert pair is not None
        assert Fraction(*pair) == wanted
        assert made.per_phase_ma[phase] == (wanted + Fraction(1, 2)).__floor__()
    assert made.total_w == sum(u["rated_w"] * number(u) for u in content["units"] if counted(u))


@given(sites(), st.randoms(use_true_random=False))
def test_the_order_of_units_never_matters(content, random):
    shuffled = {**content, "units": random.sample(content["units"], len(content["units"]))}
    before, after = (write_decision(decide_file(site)) for site in (content, shuffled))
    assert after.procedure == before.procedure
    assert after.per_phase_exact == before.per_phase_exact
    assert (after.total_w, after.export_w, after.steps) == (
        before.total_w, before.export_w, before.steps,
    )  # fmt: skip
    names = [sorted((f.id, f.severity, f.sentence) for f in made.findings
                    if f.id != "phases-out-of-balance") for made in (before, after)]  # fmt: skip
    assert names[0] == names[1]


@given(sites(3), units("more", 1))
def test_a_unit_more_never_lowers_a_sum(content, more):
    before = write_decision(decide_file(content))
    after = write_decision(decide_file({**content, "units": [*content["units"], more]}))
    for phase, pair in before.per_phase_exact.items():
        later = after.per_phase_exact[phase]
        assert pair is not None
        assert later is not None
        assert Fraction(*later) >= Fraction(*pair)
    assert (after.total_w or 0) >= (before.total_w or 0)


@given(sites(), st.one_of(st.none(), limits))
def test_a_limit_never_lowers_the_aggregate(content, limit):
    free = {name: value for name, value in content.items() if name != "limits"}
    before = write_decision(decide_file(free))
    after = write_decision(decide_file({**free, "limits": {"export": limit} if limit else {}}))
    assert after.per_phase_exact == before.per_phase_exact
    assert (after.total_w, after.facility_w) == (before.total_w, before.facility_w)
    assert after.modules == before.modules
    assert (after.export_w or 0) <= (before.export_w or 0)
    # Nor does it ever lead to a later procedure.
    order = [o.key for o in book().outcomes]
    assert order.index(after.procedure.key) <= order.index(before.procedure.key)


@given(sites(3), units("more", 1))
def test_a_unit_more_never_leads_to_an_earlier_procedure(content, more):
    order = [o.key for o in book().outcomes]
    before = decide_file(content).procedure
    after = decide_file({**content, "units": [*content["units"], more]}).procedure
    assert order.index(after) >= order.index(before)


@given(sites())
def test_every_decision_can_be_written_and_gives_its_reasons(content):
    answer = decide_file(content)
    made = write_decision(answer, explain=True)
    assert canonical(made)
    procedure = made.procedure
    assert all(comparison.result is True for comparison in procedure.because)
    order = [o.key for o in book().outcomes]
    earlier = order[: order.index(procedure.key)]
    assert {entry.key for entry in procedure.not_because} >= set(earlier)
    for entry in procedure.not_because:
        assert entry.failed
        assert all(comparison.result is False for comparison in entry.failed)
    assert all(f.sentence.endswith(".") and f.workings for f in made.findings)
    # Plant that never was in parallel has nothing to tell: nothing is sent.
    goes = any(u.get("status") == "removed" for u in content["units"])
    assert (
        made.steps
        or (procedure.key == "nothing-parallel" and not goes)
        or all(
            u.get("operating_mode") == "switched" or u.get("quantity") == 0
            for u in content["units"]
        )
    )
