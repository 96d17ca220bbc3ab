"""A design that changes the supply: how many phases there are now comes with its facts."""

import pytest

from connections.facts.site_file_error import SiteFileError
from sites.premises.models import Supply
from sites.premises.reading.site_rows import SiteRows, plain_from, rows_for, site_from
from sites.premises.writing.importing import not_kept, rows_from_site
from sites.premises.writing.sheet import create_premises
from tests.site_files import ALL, file, read, unit

CHANGED = file(unit("a", 9000, phases=ALL), phases=3, supply={"now_phases": 1, "cutout_a": 80})


def supplies(now: int | None, then: int | None) -> SiteRows:
    rows = rows_from_site(read(file()))
    rows.supply = Supply(phases=now)
    rows.new_supply = Supply(phases=then) if then is not None else None
    return rows


@pytest.mark.parametrize(
    ("now", "then", "kept"),
    [(1, 3, 1), (3, 1, 3), (1, 1, None), (1, None, None), (None, 3, None)],
)
def test_only_another_number_of_phases_is_a_change(now, then, kept):
    assert plain_from(supplies(now, then))["supply"].get("now_phases") == kept


@pytest.mark.django_db
def test_a_site_file_with_a_changed_supply_is_kept():
    site = read(CHANGED)
    design = create_premises(rows=rows_from_site(site), by=None).design
    phases = {
        supply.design_id: supply.phases
        for supply in Supply.objects.filter(premises__designs=design)
    }
    assert phases == {None: 1, design.pk: 3}
    again = site_from(rows_for(design.premises, design))
    assert (again.supply.phases, again.supply.now_phases) == (3, 1)
    assert not_kept(site, design) == []


def test_another_number_is_refused_in_words():
    with pytest.raises(SiteFileError) as refused:
        read(file(supply={"now_phases": 4}))
    assert refused.value.path == "supply.now_phases"
    assert "1, 2 (split single-phase), 3" in str(refused.value)
