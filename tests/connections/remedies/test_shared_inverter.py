"""One hybrid inverter in place of separate ones: how large it may be, and what goes."""

from typing import Any

import pytest
from msgspec import structs

from connections.facts.decision import Remedy
from connections.facts.reading import write_site
from connections.facts.site import Unit
from connections.remedies.search import search
from connections.rules.decide import decide
from tests.site_files import ALL, L2, book, cells, changed, file, limit, read, unit


def shared_for(content: dict[str, Any]) -> list[Remedy]:
    site = read(content)
    found = search(site, decide(site, book()), book()).remedies
    return [remedy for remedy in found if remedy.kind == "shared-inverter"]


def inverter_of(remedy: Remedy) -> Unit:
    [made] = [change.to for change in remedy.change if isinstance(change.to, Unit)]
    return made


def told(content: dict[str, Any]) -> list[tuple[int | None, str]]:
    """Rating and procedure of each hybrid inverter offered; the largest loses the least."""
    return [(inverter_of(r).rated_w, r.procedure) for r in shared_for(content)]


# 4.6 kW of storage with its own inverter beside 10 x 345 W of micro-inverters: 35 A, `g99-short`.
# Shared at 4.6 kW it is 20 A, `sgi-3` by application; at 3.68 kW connect and notify.
EXAMPLE = file(
    cells("bat", 4600),
    unit("micro", 345, quantity=10),
    arrays=[{"unit_id": "micro", "peak_w": 4200}],
    storage=[{"unit_id": "bat", "usable_wh": 9500}],
)


def test_the_example():
    assert decide(read(EXAMPLE), book()).procedure == "g99-short"
    assert told(EXAMPLE) == [(4600, "sgi-3"), (3680, "g98-single")]


def test_what_is_taken_out_is_named():
    for remedy in shared_for(EXAMPLE):
        assert set(remedy.takes_out) == {"bat", "micro"}
        for name in remedy.takes_out:
            assert name in remedy.sentence
        # Micro-inverters can't sit behind a hybrid inverter, and what is lost is said.
        assert "re-strung" in remedy.sentence
        assert "Maximum output drops from 8.05 kW" in remedy.sentence


def test_string_inverters_need_no_restringing():
    content = file(cells("bat", 5000), unit("pv", 5000))
    assert shared_for(content)
    assert all("re-strung" not in remedy.sentence for remedy in shared_for(content))


def test_one_small_inverter_is_no_micro_inverter():
    # 16 A and 3.9 A; one inverter of 0.9 kW has a string behind it.
    content = file(cells("bat", 3680), unit("pv", 900))
    assert shared_for(content)
    assert all("re-strung" not in remedy.sentence for remedy in shared_for(content))


def test_cells_that_go_make_no_shared_inverter():
    # 5 + 5 kW as below: the cells behind the PV inverter are taken out, so that it is separate.
    gone = [{"unit_id": "a", "usable_wh": 5000, "status": "removed"}]
    content = file(unit("a", 5000), cells("b", 5000), storage=gone)
    assert told(content) == [(5000, "sgi-3"), (3680, "g98-single")]


OFFERED = [
    # 16 + 16 A: one of 16 A is connect and notify.
    ("3.68 + 3.68", file(unit("a"), cells("b")), [(3680, "g98-single")]),
    # 43.5 A: the larger of the two is 5 kW.
    ("5 + 5", file(unit("a", 5000), cells("b", 5000)), [(5000, "sgi-3"), (3680, "g98-single")]),
    # 5 + 5 kW with a 32 A limit is `sgi-3` already: only the earlier procedure is worth telling.
    ("5 + 5 with 32 A", file(unit("a", 5000), cells("b", 5000), limits=limit(32_000)),
     [(3680, "g98-single")]),
    # The larger of the two is the most it may be: 10 kW is 43.5 A and no better.
    ("10 + 3", file(unit("a", 10_000), cells("b", 3000)), [(7360, "sgi-3"), (3680, "g98-single")]),
    # Three phases: 16 A is 11.04 kW, 32 A is 22.08 kW.
    ("three phases",
     file(unit("a", 30_000, phases=ALL), cells("b", 10_000, phases=ALL), phases=3),
     [(22_080, "sgi-3"), (11_040, "g98-single")]),
    # Several units of a kind are taken together: 3 x 2 kW of PV, 3 kW of storage.
    ("6 + 3", file(unit("a", 2000, quantity=3), cells("b", 3000)),
     [(6000, "sgi-3"), (3680, "g98-single")]),
    # Nothing to share, nothing to gain, or not enough known.
    ("PV alone", file(unit("a", 5000), unit("b", 5000)), []),
    ("storage alone", file(cells("a", 5000), cells("b", 5000)), []),
    ("small already", file(unit("a", 1840), cells("b", 1840)), []),
    ("shared already", file(unit("a", 5000, source="pv+storage")), []),
    ("storage taken out", file(unit("a", 5000), cells("b", 5000, status="removed")), []),
    # It would stand on L2 as well: a remedy never brings a stop of its own.
    ("a phase that is not there", file(unit("a", 5000, phases=L2), cells("b", 5000)), []),
    ("not determined", file(unit("a", 5000), cells("b", None)), []),
]  # fmt: skip


@pytest.mark.parametrize("case", OFFERED, ids=[case[0] for case in OFFERED])
def test_the_largest_shared_inverter_for_each_procedure(case):
    _, content, wanted = case
    assert told(content) == wanted


def with_rating(content: dict[str, Any], remedy: Remedy, rated_w: int) -> dict[str, Any]:
    made = changed(content, remedy.change)
    micro = rated_w <= 3680 * len(made["units"][-1]["phases"])
    made["units"][-1]["rated_w"] = rated_w
    made["units"][-1]["standards"][0]["standard"] = "G98" if micro else "G99"
    return made


@pytest.mark.parametrize("case", OFFERED, ids=[case[0] for case in OFFERED])
def test_a_watt_more_no_longer_reaches_it(case):
    _, content, _ = case
    order = [o.key for o in book().outcomes]
    totals = [
        sum(u["rated_w"] * u.get("quantity", 1) for u in content["units"]
            if (u["source"] == "storage") is storage and u["rated_w"])
        for storage in (True, False)
    ]  # fmt: skip
    for remedy in shared_for(content):
        rated = inverter_of(remedy).rated_w
        assert rated is not None
        assert decide(read(with_rating(content, remedy, rated)), book()).procedure == (
            remedy.procedure
        )
        if rated < max(totals):  # the larger of what it replaces is the most that is offered
            later = decide(read(with_rating(content, remedy, rated + 1)), book()).procedure
            assert order.index(later) > order.index(remedy.procedure)


def test_other_units_stay_and_count():
    # 2 kW of wind stays: 8.696 A of the 16 A are taken, 1680 W are left for connect and notify.
    wind = unit("wind", 2000, source="wind")
    content = file(unit("a", 3000), cells("b", 3000), wind)
    assert (1680, "g98-single") in told(content)
    assert all("wind" not in remedy.takes_out for remedy in shared_for(content))


def test_units_of_other_phases_come_together_on_the_widest():
    content = file(unit("a", 9000, phases=ALL), cells("b", 6000, phases=L2), phases=3)
    assert all(inverter_of(r).phases == ("L1", "L2", "L3") for r in shared_for(content))


CONTENTS = [
    EXAMPLE,
    *(case[1] for case in OFFERED),
    file(
        unit("old", 4000, status="existing", commissioned_on="2021-05-01"),
        cells("bat", 5000),
        arrays=[
            {"unit_id": "old", "peak_w": 4500},
            {"unit_id": "old", "peak_w": 900, "status": "removed"},
            {"unit_id": "old", "peak_w": 400, "status": "proposed"},
        ],
        storage=[{"unit_id": "bat", "usable_wh": 9500}],
        caps=[{"on": "installed", "value": 4000, "basis": "w_total"}],
    ),
]


@pytest.mark.parametrize("number", range(len(CONTENTS)))
def test_the_changes_give_what_is_promised(number):
    content = CONTENTS[number]
    before = decide(read(content), book())
    for remedy in shared_for(content):
        after = decide(read(changed(content, remedy.change)), book())
        assert after.procedure == remedy.procedure
        assert not after.stops - before.stops
        assert not set(remedy.clears) & {name for name, _ in after.stops}
        assert {line.unit.id for line in after.case.lines}.isdisjoint(remedy.takes_out)


def test_panels_that_are_there_stay_existing_behind_the_new_inverter():
    content = CONTENTS[-1]
    [remedy, *_] = shared_for(content)
    after = read(changed(content, remedy.change))
    assert [array.status for array in after.arrays] == ["existing", "removed", "proposed"]
    assert after.arrays[0].unit_id == after.units[-1].id


def test_a_cap_on_installed_capacity_is_answered():
    # 3.68 + 3.68 kW over a cap of 4 kW installed: one of 3.68 kW clears it.
    content = file(
        unit("a"), cells("b"), caps=[{"on": "installed", "value": 4000, "basis": "w_total"}]
    )
    [remedy] = shared_for(content)
    assert remedy.clears == ("installed-above-cap",)


def test_the_new_id_is_free():
    content = file(unit("shared-1", 5000), cells("b", 5000))
    assert {inverter_of(remedy).id for remedy in shared_for(content)} == {"shared-2"}


def test_nothing_is_changed_while_looking():
    site = read(EXAMPLE)
    before = write_site(site)
    search(site, decide(site, book()), book())
    assert write_site(site) == before
    assert structs.asdict(site)


def test_a_cap_on_installed_capacity_is_answered_by_the_largest_inverter_within_it():
    """6 + 6 kW under a cap of 5 kW installed: 5 kW keeps it, one watt more does not."""
    cap = {"on": "installed", "value": 5000, "basis": "w_total"}
    content = file(cells("bat", 6000), unit("pv", 6000), caps=[cap])
    clearing = [r for r in shared_for(content) if "installed-above-cap" in r.clears]
    assert max(inverter_of(r).rated_w or 0 for r in clearing) == 5000
    assert (5001, "sgi-3") not in told(content)
