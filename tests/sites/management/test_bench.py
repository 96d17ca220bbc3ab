"""The table and the JSON of `manage.py bench`; what it measures is not timed in tests."""

import pytest

from sites.management.benchmarks.core import Figure, as_json, four_units, table


@pytest.mark.parametrize(
    ("value", "aim", "at_most", "met"),
    [
        (200.0, 200, True, True),  # at the aim is met, both ways
        (200.1, 200, True, False),
        (2000.0, 2000, False, True),
        (1999.9, 2000, False, False),
    ],
)
def test_an_aim_is_met_up_to_and_including_it(
    value: float, aim: float, at_most: bool, met: bool
) -> None:
    assert Figure("x", value, "us", aim, at_most).met is met


def test_the_table_says_in_words_what_is_not_met() -> None:
    figures = [
        Figure("quick", 1.0, "ms", 2, True),
        Figure("slow", 3.0, "ms", 2, True, "of 9"),
    ]
    cases = table(figures).splitlines()
    assert cases[1].split()[-1] == "met"
    assert cases[2].endswith("NOT MET")
    assert "slow (of 9)" in cases[2]
    assert [row["met"] for row in as_json(figures)] == [True, False]


def test_the_site_that_is_timed_has_four_units_and_is_decided() -> None:
    from connections.assessing import Assessor

    assessor = Assessor()
    site = assessor.site(four_units())
    assert len(site.units) == 4
    # 3.68 + 3.6 kW on L1 is 7.28 kW: 31.652 A, below 32 A with a tested 16 A limit.
    assert assessor.decide(site).decision.procedure.key == "sgi-2"


@pytest.mark.django_db
def test_copies_are_premises_of_their_own_and_alike() -> None:
    from sites.cases.models import Application, Case
    from sites.deciding.reading.deciding import decide_case
    from sites.management.benchmarks.many_premises import SIZES, copy_premises
    from sites.premises.models import Premises, Unit
    from tests.sites.making import make_premises

    make_premises()
    copy_premises(SIZES + 2)
    assert Premises.objects.count() == Application.objects.count() == SIZES + 2
    assert Unit.objects.values("key").distinct().count() == 2 * (SIZES + 2)
    cases = list(Case.objects.select_related("premises", "design").order_by("pk"))
    decisions = [decide_case(case).decision for case in cases]
    assert {each.procedure.key for each in decisions if each} == {"sgi-3"}
    # 2 x 3600 W, and copies of 1 to 39 W less a unit; then one is whole again, and one 1 W less.
    totals = [each.total_w for each in decisions if each]
    assert totals == [7200, *(7200 - 2 * less for less in (*range(1, SIZES), 0, 1))]
