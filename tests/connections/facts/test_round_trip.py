"""Writing a site and reading it again gives the same site, whatever it holds."""

import json

from hypothesis import given
from hypothesis import strategies as st

from connections.facts.reading import read_site, write_site
from connections.facts.site import LARGEST
from tests.site_files import file, read

texts = st.text(
    st.characters(exclude_categories=("Cc", "Cs"), include_characters="\n\t"), max_size=40
)
words = texts.filter(str.strip).map(lambda text: text[:40])
numbers = st.one_of(st.none(), st.integers(0, LARGEST))
yes_no = st.one_of(st.none(), st.booleans())
days = st.one_of(st.none(), st.dates().map(lambda day: day.isoformat()))
days_or_months = st.one_of(days, st.dates().map(lambda day: day.isoformat()[:7]))
phases = st.lists(st.sampled_from(["L1", "L2", "L3"]), min_size=1, max_size=3, unique=True)


def maybe(**fields):
    """Any of the fields, each of them there or not."""
    return st.fixed_dictionaries({}, optional=fields)


certificates = maybe(
    standard=texts,
    reference=texts,
    type_tested=st.sampled_from(["full", "part", "no", None]),
    rated_w=numbers,
    valid_until=days,
)


def units(status):
    dates = {"planned_on": days, "commissioned_on": days_or_months}
    return st.fixed_dictionaries(
        {
            "status": st.just(status),
            "id": words,
            "source": st.sampled_from(["pv", "storage", "pv+storage", "wind", "other"]),
            "rated_w": numbers,
            "phases": phases,
        },
        optional={
            "kind": st.sampled_from(["inverter", "synchronous", "asynchronous", None]),
            "maker": texts,
            "quantity": numbers,
            "design_w": numbers,
            "rated_va": numbers,
            "rated_ma": numbers,
            "q_var": st.one_of(st.none(), st.integers(-LARGEST, LARGEST)),
            "standards": st.lists(certificates, max_size=3),
            "limited_by": st.sampled_from(["maker", "software", "none", None]),
            "can_island": yes_no,
            "serials": st.lists(texts, max_size=3),
            **dates,
        },
    )


limits = st.fixed_dictionaries(
    {"value": numbers, "basis": st.sampled_from(["ma_per_phase", "w_total", "va_total"])},
    optional={"type_tested": yes_no, "nets_phases": yes_no, "response_ms": numbers},
)
files = st.builds(
    lambda made, rest: file(*made, **rest),
    st.lists(
        st.one_of(units("existing"), units("proposed"), units("removed")),
        min_size=1,
        max_size=4,
        unique_by=lambda unit: unit["id"],
    ),
    maybe(
        phases=st.sampled_from([1, 2, 3]),
        supply=maybe(nominal_v=numbers, cutout_a=numbers, looped=yes_no),
        arrays=st.lists(
            st.fixed_dictionaries({"unit_id": words}, optional={"peak_w": numbers}), max_size=2
        ),
        limits=st.one_of(st.none(), maybe(export=limits, **{"import": limits})),
        nearby=st.one_of(st.none(), maybe(premises=numbers)),
        reference=words,
    ),
)


@given(files)
def test_a_site_comes_back_as_it_was(content):
    site = read(content)
    written = write_site(site)
    assert read_site(written) == site
    assert write_site(read_site(written)) == written
    # A list that is left out is written as an empty one; everything else comes back as it was.
    lists: dict[str, list] = {
        name: [] for name in ("arrays", "storage", "caps", "protection", "cables")
    }
    assert json.loads(written) == {**lists, **content}
