"""Whatever the site: a remedy leads to an earlier procedure or clears a stop, and is true."""

from hypothesis import given, settings
from hypothesis import strategies as st

from connections.remedies.search import remedies_for
from connections.rules.decide import decide
from tests.remedies.applying import applied
from tests.rules.any_site import sites
from tests.site_files import STEADY, book, read

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


@settings(STEADY, max_examples=300)
@given(sites(3), caps)
def test_every_remedy_is_worth_telling_and_true(content, capped):
    content = {**content, "caps": capped}
    site = read(content)
    before = decide(site, book())
    order = [o.key for o in book().outcomes]
    reached = []
    for remedy in remedies_for(site, before, book()):
        after = decide(read(applied(content, remedy)), book())
        assert after.procedure == remedy.procedure
        assert not after.stops - before.stops
        earlier = order.index(after.procedure) < order.index(before.procedure)
        assert earlier or remedy.clears
        assert order.index(after.procedure) <= order.index(before.procedure)
        for name in remedy.clears:
            assert name in {stop for stop, _ in before.stops}
            assert name not in {stop for stop, _ in after.stops}
        assert remedy.sentence.endswith(".")
        reached.append(order.index(remedy.procedure))
    assert reached == sorted(reached)
