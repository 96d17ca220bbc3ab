"""Rows of an installation from before lists of certificates keep what they said of type tests."""

import pytest
from django import db
from django.db.migrations.executor import MigrationExecutor

from sites.premises.models import Unit
from tests.sites.making import make_premises

pytestmark = pytest.mark.django_db(transaction=True)

BEFORE = [("sites", "0001_initial")]


def migrated(to=None):
    """Take the tables to a migration, or to the newest, which other tests need."""
    executor = MigrationExecutor(db.connection)
    return executor.migrate(to or executor.loader.graph.leaf_nodes("sites")).apps


def test_the_type_test_of_a_unit_goes_into_its_list_and_back():
    case = make_premises()
    unit = Unit.objects.filter(design=case.design).order_by("pk")[0]
    try:
        old = migrated(BEFORE).get_model("sites", "Unit")
        row = old.objects.get(pk=unit.pk)
        assert (row.type_tested, row.standard) == ("full", "G98")  # as `home` says it
        old.objects.filter(pk=unit.pk).update(
            type_tested="part", standard="G99", type_test_reference="INVENTED/7"
        )
        old.objects.exclude(pk=unit.pk).update(type_tested="", standard="", type_test_reference="")
    finally:
        migrated()
    kept = {row.pk: row.standards for row in Unit.objects.all()}
    assert kept.pop(unit.pk) == [
        {"standard": "G99", "type_tested": "part", "reference": "INVENTED/7"}
    ]
    assert set(kept.values()) == {None}
