"""Whatever the site: a remedy leads to an earlier procedure or clears a stop, and is true.

Phases out of balance are no stop, but what an operator is likely to refuse: they count as cleared.
"""

from hypothesis import given
from hypothesis import strategies as st

from connections.remedies.proof import BALANCE, to_clear
from connections.remedies.search import search
from connections.remedies.telling import LONGEST_NAME
from connections.rules.decide import Decided, decide
from connections.rules.export import export_figure
from tests.connections.rules.any_site import sites
from tests.site_files import book, changed, read

caps = st.lists(
    st.fixed_dictionaries(
        {
            "on": st.sampled_from(["export", "installed"]),
            "value": st.sampled_from([0, 3000, 3680, 5000, 16_000, 21_739]),
            "basis": st.sampled_from(["w_total", "va_total", "ma_per_phase"]),
        }
    ),
    max_size=2,
)


def lost(before: Decided, after: Decided) -> tuple[bool, int, int]:
    """A larger supply, W of plant, and export that a change costs, from the facts of both sites."""

    def power(of: Decided) -> int:
        return sum(
            (u.quantity if isinstance(u.quantity, int) else 1) * (u.rated_w or u.rated_va or 0)
            for u in (line.unit for line in of.case.lines)
        )

    def export(of: Decided) -> int:
        return export_figure(of.case.site, of.case.setting, of.case.sums).total

    return (
        after.case.site.supply.phases > before.case.site.supply.phases,
        max(0, power(before) - power(after)),
        max(0, export(before) - export(after)),
    )


@given(sites(3), caps)
def test_every_remedy_is_worth_telling_and_true(content, capped):
    content = {**content, "caps": capped}
    site = read(content)
    before = decide(site, book())
    order = [o.key for o in book().outcomes]
    reached = []
    for remedy in search(site, before, book()).remedies:
        asks = remedy.kind == "ask-operator"
        assert remedy.name
        assert len(remedy.name) <= LONGEST_NAME
        if asks:
            reached.append((bool(remedy.leaves), False, (False, 0, 0), False, 0))
            assert before.case.other_reading == remedy.procedure
            continue
        after = decide(read(changed(content, remedy.change)), book())
        assert after.procedure == remedy.procedure
        loses = lost(before, after)
        held, place = "import-limit" in remedy.kind, order.index(remedy.procedure)
        reached.append((bool(remedy.leaves), True, loses, held, place))
        assert set(remedy.leaves) == {name for name, _ in after.stops}
        assert bool(remedy.leaves) == (" still stop" in remedy.sentence)
        assert (BALANCE in to_clear(after)) == ("stay out of balance" in remedy.sentence)
        assert not after.stops - before.stops
        earlier = order.index(after.procedure) < order.index(before.procedure)
        assert earlier or remedy.clears
        assert order.index(after.procedure) <= order.index(before.procedure)
        for name in remedy.clears:
            assert name in to_clear(before)
            assert name not in to_clear(after)
        assert BALANCE not in to_clear(after) - to_clear(before)
        assert remedy.sentence.endswith(".")
    assert reached == sorted(reached)
