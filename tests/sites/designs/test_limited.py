"""A limit that was tried made a design: what the scheme is known to be stays, but for its proof."""

import pytest

from connections.facts.defaults import known
from connections.facts.site import Limits
from sites.deciding.reading.deciding import decide_rows
from sites.designs.writing.limited import design_with_limit
from sites.house.refusals import RefusedError
from sites.premises.models import Design, Limit
from sites.premises.reading.site_rows import rows_for
from sites.premises.refusals import NameTakenError
from tests.sites.making import make_premises


def limit_of(design):
    site = decide_rows(rows_for(design.premises, design)).site
    assert site is not None
    assert isinstance(site.limits, Limits)
    return site.limits.export


def test_a_new_scheme_is_known_by_its_limit_alone(plain, office):
    made = design_with_limit(design=plain.design, limit_w=2000, name="Two", by=office)
    row = Limit.objects.get(design=made)
    assert (row.on, row.value, row.basis) == ("export", 2000, "w_total")
    assert (row.type_tested, row.type_test_reference, row.commissioned_on) == (None, "", None)
    assert not made.is_proposal
    assert not Limit.objects.filter(design=plain.design).exists()
    with pytest.raises(NameTakenError):
        design_with_limit(design=plain.design, limit_w=3000, name="two", by=office)


@pytest.mark.parametrize("commissioned", [True, False])
def test_of_a_scheme_that_is_there_the_limit_alone_changes(office, commissioned):
    there = {
        "value": 16_000, "basis": "ma_per_phase", "type_tested": True, "fail_safe": True,
        "type_test_reference": "INV/9", "measured_at": "supply",
    } | ({"commissioned_on": "2024-05-01"} if commissioned else {})  # fmt: skip
    case = make_premises(limits={"export": there}, by=office)
    before = limit_of(case.design)
    made = design_with_limit(design=case.design, limit_w=2500, name="Less", by=office)
    now = limit_of(made)
    assert (now.value, now.basis) == (2500, "w_total")
    assert (now.type_tested, now.fail_safe, now.type_test_reference) == (True, True, "INV/9")
    # What was proved was the other setting.
    assert (known(before.commissioned_on) is not None) is commissioned
    assert known(now.commissioned_on) is None
    assert limit_of(Design.objects.get(pk=case.design.pk)) == before


def test_facts_that_cannot_be_read_make_no_design(plain, office):
    plain.design.unit_set.all().delete()
    with pytest.raises(RefusedError, match="Enter a unit"):
        design_with_limit(design=plain.design, limit_w=2000, name="Two", by=office)
    assert Design.objects.count() == 1
