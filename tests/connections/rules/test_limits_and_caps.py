"""Limitation schemes in every basis, and the two ways in which an operator can answer."""

from typing import Any

import pytest

from tests.site_files import ALL, L2, cells, decided, decision, found, limit, procedure, unit

SUM_26_A = [unit("a", 2990), cells("b", 2990)]  # 5980 W on L1
SUM_43_A = [unit("a", 5000), cells("b", 5000)]  # 10,000 W on L1


# A limit stays as stated and the other side is converted: 16 A x 230 V = 3680 W, 32 A = 7360 W.
@pytest.mark.parametrize(
    ("units", "value", "basis", "wanted"),
    [
        (SUM_26_A, 3680, "w_total", "sgi-2"),
        (SUM_26_A, 3681, "w_total", "sgi-3"),
        (SUM_26_A, 3680, "va_total", "sgi-2"),  # real power is never more
        (SUM_26_A, 3681, "va_total", "sgi-3"),
        (SUM_43_A, 7360, "w_total", "sgi-3"),
        (SUM_43_A, 7361, "w_total", "g99-short"),
        # 5 kW is 500000/23 mA = 21739.13 mA: between 16 and 32 A.
        (SUM_26_A, 5000, "w_total", "sgi-3"),
        (SUM_43_A, 5000, "w_total", "sgi-3"),
        (SUM_43_A, 21_739, "ma_per_phase", "sgi-3"),
        (SUM_43_A, 0, "ma_per_phase", "sgi-3"),
    ],
)
def test_bases_on_a_single_phase_supply(units, value, basis, wanted):
    assert procedure(*units, limits=limit(value, basis)) == wanted


def test_a_limit_is_never_rounded():
    # 5 kW of units under a cap of 21,739 mA: 500000/23 mA is 0.13 mA more, and that counts.
    for value, told in ((21_739, [("stops", "caps[0]")]), (21_740, [])):
        capped = [{"on": "export", "value": value, "basis": "ma_per_phase"}]
        assert found(decided(unit("a", 5000), caps=capped), "export-above-cap") == told
    exact = decision(unit("a", 5000)).per_phase_exact
    assert exact == {"L1": (500_000, 23)}


THREE_26_A = [unit("a", 8970, phases=ALL), cells("b", 8970, phases=ALL)]  # 2 x 2990 W a phase


# 11,040 W in all is 3680 W = 16 A a phase only where the scheme does not net the phases.
@pytest.mark.parametrize(
    ("nets", "value", "wanted", "told"),
    [
        (False, 11_040, "sgi-2", []),
        (False, 11_041, "sgi-3", []),
        (True, 11_040, "sgi-3", [("decide", "export-limit")]),
        (None, 11_040, "sgi-3", [("decide", "export-limit")]),
        (True, 3680, "sgi-2", [("decide", "export-limit")]),  # one phase can carry the whole
        (None, 3680, "sgi-2", [("decide", "export-limit")]),
        (None, 3681, "sgi-3", [("decide", "export-limit")]),
    ],
)
def test_netting_on_three_phases(nets, value, wanted, told):
    answer = decided(*THREE_26_A, phases=3, limits=limit(value, "w_total", nets_phases=nets))
    assert answer.procedure == wanted
    assert found(answer, "netting-limit") == told


def test_netting_left_out_is_unknown():
    answer = decided(*THREE_26_A, phases=3, limits=limit(11_040, "w_total"))
    assert answer.procedure == "sgi-3"
    told = next(f for f in answer.findings if f.id == "netting-limit")
    assert told.values["known"] is False


def test_netting_asks_nothing_of_a_limit_per_phase():
    for nets in (True, False, None):
        answer = decided(*THREE_26_A, phases=3, limits=limit(16_000, nets_phases=nets))
        assert answer.procedure == "sgi-2"
        assert found(answer, "netting-limit") == []


def test_shares_of_a_split_supply():
    # 7360 W in all is 3680 W = 16 A on each of two phases, where the scheme does not net them.
    units = unit("a", 2990), cells("b", 2990), unit("c", 2990, phases=L2)
    shared = limit(7360, "w_total", nets_phases=False)
    assert procedure(*units, phases=2, limits=shared) == "sgi-2"
    assert procedure(*units, phases=2, limits=limit(7360, "w_total", nets_phases=True)) == "sgi-3"


@pytest.mark.parametrize("tested", [False, None])
def test_a_scheme_that_is_not_type_tested_does_not_count(tested):
    assert procedure(*SUM_43_A, limits=limit(32_000, type_tested=tested)) == "g99-short"
    answer = decision(*SUM_43_A, limits=limit(16_000, type_tested=tested))
    assert answer.possible == ("g99-short",)
    assert answer.unknown == ()
    assert (answer.export_per_phase_ma, answer.export_w) == ({"L1": 43_478}, 10_000)


def test_a_scheme_of_which_nothing_is_said_does_not_count_either():
    stated = {"export": {"value": 32_000, "basis": "ma_per_phase"}}
    answer = decided(*SUM_43_A, limits=stated)
    assert answer.procedure == "g99-short"
    assert found(answer, "limit-not-type-tested") == [("decide", "export-limit")]


def test_an_import_limit_does_nothing_for_the_procedure():
    stated = {"import": limit(16_000)["export"]}
    assert procedure(*SUM_43_A, limits=stated) == "g99-short"
    assert decision(*SUM_43_A, limits=stated).export_w == 10_000


# The export figure: on each phase the lesser of sum and limit, in all no more than a total limit.
@pytest.mark.parametrize(
    ("units", "facts", "per_phase", "total"),
    [
        (SUM_43_A, {}, {"L1": 43_478}, 10_000),
        (SUM_43_A, {"limits": limit(16_000)}, {"L1": 16_000}, 3680),
        (SUM_43_A, {"limits": limit(5000, "w_total")}, {"L1": 21_739}, 5000),
        (SUM_43_A, {"limits": limit(50_000)}, {"L1": 43_478}, 10_000),
        # Three phases: 6 kW on L1 and 2 kW on L2, 16 A a phase: 3680 + 2000 W.
        ([unit("a", 6000), unit("b", 2000, phases=L2)], {"phases": 3, "limits": limit(16_000)},
         {"L1": 16_000, "L2": 8696, "L3": 0}, 5680),
        # 5 kW in all, phases netted: L1 may carry all of it, the site no more than 5 kW.
        ([unit("a", 6000), unit("b", 2000, phases=L2)],
         {"phases": 3, "limits": limit(5000, "w_total", nets_phases=True)},
         {"L1": 21_739, "L2": 8696, "L3": 0}, 5000),
        # 6 kW in all, not netted: 2 kW a phase; L1 2000 + L2 2000 + L3 nothing = 4 kW.
        ([unit("a", 6000), unit("b", 2000, phases=L2)],
         {"phases": 3, "limits": limit(6000, "w_total", nets_phases=False)},
         {"L1": 8696, "L2": 8696, "L3": 0}, 4000),
    ],
)  # fmt: skip
def test_the_export_figure(units, facts, per_phase, total):
    answer = decision(*units, **facts)
    assert (answer.export_per_phase_ma, answer.export_w) == (per_phase, total)


def cap(on: str, value: int, basis: str = "w_total", **facts: Any) -> dict[str, Any]:
    return {"caps": [{"on": on, "value": value, "basis": basis, **facts}]}


EXPORT, INSTALLED = "export-above-cap", "installed-above-cap"

# 5000 W on L1 with and without a limit of 16 A (3680 W): a cap on export is answered by the limit,
# one on installed capacity is not; each is compared in the unit that the operator wrote.
CAPS = [
    ("export", 5000, "w_total", {}, []),
    ("export", 4999, "w_total", {}, [EXPORT]),
    ("export", 4999, "va_total", {}, [EXPORT]),
    ("export", 21_739, "ma_per_phase", {}, [EXPORT]),
    ("export", 21_740, "ma_per_phase", {}, []),
    ("export", 3680, "w_total", {"limits": limit(16_000)}, []),
    ("export", 3679, "w_total", {"limits": limit(16_000)}, [EXPORT]),
    ("export", 16_000, "ma_per_phase", {"limits": limit(16_000)}, []),
    ("export", 3680, "w_total", {"limits": limit(16_000, type_tested=False)}, [EXPORT]),
    ("installed", 5000, "w_total", {}, []),
    ("installed", 4999, "w_total", {}, [INSTALLED]),
    ("installed", 4999, "va_total", {}, [INSTALLED]),
    ("installed", 21_739, "ma_per_phase", {}, [INSTALLED]),
    ("installed", 21_740, "ma_per_phase", {}, []),
    ("installed", 3680, "w_total", {"limits": limit(16_000)}, [INSTALLED]),
    ("installed", 16_000, "ma_per_phase", {"limits": limit(16_000)}, [INSTALLED]),
]


@pytest.mark.parametrize(("on", "value", "basis", "facts", "wanted"), CAPS)
def test_caps_on_export_and_on_installed_capacity_are_kept_apart(on, value, basis, facts, wanted):
    answer = decided(unit("a", 5000), **cap(on, value, basis), **facts)
    told = [f.id for f in answer.findings if f.id in (EXPORT, INSTALLED)]
    assert told == wanted
    assert all(f.severity == "stops" for f in answer.findings if f.id in wanted)


def test_a_cap_per_phase_is_compared_with_the_fullest_phase():
    # 9 kW on three phases is 13.043 A on each; in all that is more than 16 A would be on one.
    capped = cap("export", 16_000, "ma_per_phase")
    assert found(decided(unit("a", 9000, phases=ALL), phases=3, **capped), EXPORT) == []
    assert found(decided(unit("a", 9000), phases=3, **capped), EXPORT) == [("stops", "caps[0]")]


# An answer holds through its last day.
@pytest.mark.parametrize(
    ("until", "wanted"),
    [
        ("2026-11-23", ["cap-ended"]),
        ("2026-11-24", [EXPORT]),
        ("2026-11-25", [EXPORT]),
        (None, [EXPORT]),
    ],
)
def test_an_answer_that_has_run_out_is_not_applied(until, wanted):
    answer = decided(unit("a", 5000), **cap("export", 1, until=until))
    assert [f.id for f in answer.findings if f.subject == "caps[0]"] == wanted


def test_margins_say_by_how_much():
    answer = decided(unit("a", 5000), **cap("export", 3680))
    told = next(f for f in answer.findings if f.id == EXPORT)
    assert (told.margin, told.margin_unit) == (3680 - 5000, "W")
    agreed = decided(unit("a", 5000), supply={"export_capacity_va": 4600})
    told = next(f for f in agreed.findings if f.id == "export-above-agreed")
    assert (told.margin, told.margin_unit) == (4600 - 5000, "W")


@pytest.mark.parametrize(
    ("export", "import_", "scheme"),
    [
        (True, True, "type-tested"),
        (True, False, "not-type-tested"),
        (False, True, "not-type-tested"),
        (True, None, "not-type-tested"),
    ],
)
def test_every_scheme_must_be_type_tested(export, import_, scheme):
    limits = {
        name: {"value": 16_000, "basis": "ma_per_phase", "type_tested": tested}
        for name, tested in (("export", export), ("import", import_))
    }
    assert decided(unit(), limits=limits).case.facts["limitation_scheme"] == scheme
