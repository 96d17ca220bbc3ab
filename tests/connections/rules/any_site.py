"""Sites as plain data for tests over many of them, crowded around the limits of the table."""

from typing import Any

from hypothesis import strategies as st

from tests.site_files import file

# 16, 32 and 60 A of one, two and three phases, the short form's bounds and the size classes.
EDGES = sorted(
    {amps * 230 * n for amps in (16, 32, 60) for n in (1, 2, 3)}
    | {8, 13, 680, 1840, 2300, 3000, 17_000, 34_000, 50_000, 1_000_000, 10_000_000}
)
DATES = (
    *("2015-06-01", "2019-04-26", "2019-04-27", "2022-08-31", "2022-09-01"),
    # Months on one side of every date of the rules.
    *("2019-03", "2021-11"),
)
watts = st.one_of(
    st.builds(lambda edge, aside: max(1, edge + aside), st.sampled_from(EDGES), st.integers(-1, 1)),
    st.builds(lambda edge, share: max(1, edge // share), st.sampled_from(EDGES), st.integers(2, 4)),
    st.integers(1, 60_000),
)
PHASES = {
    1: [["L1"]],
    2: [["L1"], ["L2"], ["L1", "L2"]],
    3: [["L1"], ["L2"], ["L3"], ["L1", "L2", "L3"]],
}


def mostly(usual: Any, *others: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from([usual] * 5 + list(others))


def certificates(rated: int) -> st.SearchStrategy[dict[str, Any]]:
    """A certificate, mostly for this rating and still good on the day of the file."""
    return st.fixed_dictionaries(
        {"type_tested": mostly("full", "part", "no"),
         "standard": st.sampled_from(["G98", "G99", "G83", "G59", "other"])},
        optional={"rated_w": mostly(rated, rated + 1, 0),
                  "valid_until": mostly("2030-01-01", "2026-11-24", "2026-11-23", "2019-01-01")},
    )  # fmt: skip


@st.composite
def units(draw: st.DrawFn, id: str, phases: int) -> dict[str, Any]:
    """One line in which everything that decides is known."""
    rated = draw(watts)
    made: dict[str, Any] = {
        "id": id,
        "source": draw(st.sampled_from(["pv", "storage", "pv+storage"])),
        "rated_w": rated,
        "phases": draw(st.sampled_from(PHASES[phases])),
        "type_tested": draw(mostly("full", "part", "no")),
        "standard": draw(st.sampled_from(["G98", "G98", "G99", "G99", "G83", "G59", "other"])),
    }
    status = draw(mostly("proposed", "existing", "existing", "removed"))
    if status != "proposed" or draw(st.booleans()):
        made["status"] = status
    if status == "existing":
        made["commissioned_on"] = draw(st.sampled_from(DATES))
    if draw(mostly(False, True)):
        made["design_w"] = max(rated, draw(watts))
    if draw(mostly(False, True)):
        made["quantity"] = draw(st.integers(0, 12))
    if draw(mostly(False, True)):
        made["rated_w"] = draw(st.sampled_from([400, 800, 801]))
        made["design_w"] = made["rated_w"]
        made |= draw(st.sampled_from([
            {"plugged_in": True}, {"plugged_in": None}, {"standard": "G98 plug-in"},
            {"standard": "G98 plug-in", "plugged_in": False}, {"plugged_in": True, "rated_va": 801},
        ]))  # fmt: skip
    if draw(mostly(False, True)):
        made["standards"] = draw(st.lists(certificates(made["rated_w"]), min_size=1, max_size=3))
        del made["type_tested"], made["standard"]
    for name, usual, *others in (
        ("kind", "inverter", "synchronous", "asynchronous"),
        ("can_island", False, True),
        ("operating_mode", "long-term-parallel", "short-term-parallel", "switched"),
    ):
        value = draw(mostly(usual, *others))
        if value != usual or draw(st.booleans()):
            made[name] = value
    return made


limits = st.fixed_dictionaries(
    {
        "value": st.one_of(
            st.sampled_from([0, 3680, 7360, 11_040, 15_999, 16_000, 16_001, 32_000, 32_001]),
            st.integers(0, 50_000),
        ),
        "basis": st.sampled_from(["ma_per_phase", "ma_per_phase", "w_total", "va_total"]),
        "type_tested": mostly(True, False, None),
    },
    optional={"nets_phases": st.sampled_from([True, False, None])},
)


@st.composite
def small_units(draw: st.DrawFn, id: str, phases: int) -> dict[str, Any]:
    """One tested inverter of at most a few kilowatts: the plant of the earlier procedures."""
    on = draw(st.sampled_from(PHASES[phases]))
    edge = draw(st.sampled_from([1150, 1840, 2990, 3350, 3680, 5000, 6900, 7360])) * len(on)
    rated = edge + draw(st.integers(-1, 1))
    made: dict[str, Any] = {
        "id": id,
        "source": draw(st.sampled_from(["pv", "storage", "pv+storage"])),
        "rated_w": rated,
        "phases": on,
        "type_tested": "full",
        "standard": "G98" if rated <= 3680 * len(on) and draw(mostly(True, False)) else "G99",
    }
    if draw(mostly(False, True)):
        made["design_w"] = max(rated, draw(st.sampled_from([3681, 7359, 7360, 7361])) * len(on))
    return made


@st.composite
def sites(draw: st.DrawFn, most: int = 4) -> dict[str, Any]:
    """A site file in which everything that decides is known."""
    phases = draw(st.sampled_from([1, 1, 2, 3]))
    number = draw(st.integers(1, most))
    facts: dict[str, Any] = {}
    if draw(mostly(True, False, False)):
        facts["limits"] = {"export": draw(limits)}
    if draw(mostly(False, True)):
        facts["nearby"] = {"premises": draw(st.integers(0, 2))}
    if draw(mostly(False, True)):
        facts["supply"] = {"voltage_level": "HV"}
    kinds = draw(st.sampled_from([(small_units,), (small_units, units), (units,)]))
    made = [draw(draw(st.sampled_from(kinds))(f"u{i}", phases)) for i in range(number)]
    for name in ("arrays", "storage"):
        if draw(mostly(False, True)):
            part = {"unit_id": f"u{draw(st.integers(0, number - 1))}"}
            status = draw(st.sampled_from(["proposed", "existing", None]))
            facts[name] = [{**part, "status": status} if status else part]
    if draw(mostly(False, False, True)):
        for each in made:
            each |= {"status": "existing", "commissioned_on": "2019-04-26"}
    return file(*made, phases=phases, **facts)
