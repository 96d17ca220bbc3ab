"""What every kind of work of the worker shares: one row for what it belongs to, and where its kind
is told."""

import pytest
from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone

from sites.house.models import Work
from sites.house.models.work import KINDS, LIMITS, LOOK, YEAR
from sites.house.writing.working_out import kind_of
from tests.sites.making import make_screening


def make(**facts):
    return Work.objects.create(digest="0" * 64, asked={}, asked_at=timezone.now(), **facts)


def test_every_kind_is_told_where_settings_say():
    assert set(settings.WORK_KINDS) == set(KINDS)
    kinds = [kind_of(Work(kind=kind)) for kind in KINDS]
    assert len({kind.work_out for kind in kinds}) == len(KINDS)


def test_a_design_has_one_row_of_each_kind(plain):
    make(kind=YEAR, design=plain.design)
    make(kind=LIMITS, design=plain.design)
    with pytest.raises(IntegrityError), transaction.atomic():
        make(kind=YEAR, design=plain.design)


def test_a_place_of_a_run_has_one_row(plain, engineer):
    run = make_screening(by=engineer)
    make(kind=LOOK, run=run, place=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        make(kind=LOOK, run=run, place=1)


@pytest.mark.parametrize("whose", [(), ("design", "run"), ("run",), ("design", "place")])
def test_a_row_belongs_to_a_design_or_to_a_place_of_a_run(plain, engineer, whose):
    """A run without a place, and a place of a design, are no owner either."""
    run = make_screening(by=engineer)
    facts = {"design": plain.design, "run": run, "place": 1}
    with pytest.raises(IntegrityError), transaction.atomic():
        make(kind=YEAR, **{name: facts[name] for name in whose})
