"""Left out takes the default, null is unknown, and 0 is unknown in a rating only."""

import datetime as dt

import pytest
from msgspec import UNSET

from connections.facts import defaults
from connections.facts.declaring import declared
from connections.facts.site import Supply, Unit
from tests.site_files import decided, found, procedure, site, unit

LEFT_OUT = [
    # The default that the format names for each key that may be left out.
    (lambda s: defaults.status_of(s.units[0]), "proposed"),
    (lambda s: defaults.kind_of(s.units[0]), "inverter"),
    (lambda s: defaults.quantity_of(s.units[0]), 1),
    (lambda s: defaults.design_w(s.units[0]), 3680),  # = rated_w
    (lambda s: defaults.mode_of(s.units[0]), "long-term-parallel"),
    (lambda s: defaults.nearby_premises(s), 0),
    (lambda s: defaults.voltage_level(s), "LV"),
    (lambda s: s.units[0].can_island, UNSET),
    (lambda s: s.units[0].limited_by, UNSET),
    (lambda s: s.supply.nominal_v, UNSET),
    (lambda s: s.limits, UNSET),
]


@pytest.mark.parametrize(("value", "wanted"), LEFT_OUT)
def test_what_is_left_out_takes_its_default(value, wanted):
    assert value(site(unit())) == wanted


def test_defaults_that_the_rules_read_without_a_function_of_their_own():
    assert declared(Unit)["can_island"].default is False
    assert declared(Unit)["limited_by"].default == "none"
    defaulted = {name: fact.default for name, fact in declared(Supply).items() if fact.assumed}
    assert defaulted == {"voltage_level": "LV", "nominal_v": 230}


@pytest.mark.parametrize(
    ("when", "first", "last"),
    [
        ("2016-06-14", "2016-06-14", "2016-06-14"),
        ("2016-06", "2016-06-01", "2016-06-30"),
        ("2016-02", "2016-02-01", "2016-02-29"),  # a leap year
        ("2100-02", "2100-02-01", "2100-02-28"),  # none: a century that 400 does not divide
        ("2019-12", "2019-12-01", "2019-12-31"),
        ("9999-12", "9999-12-01", "9999-12-31"),
    ],
)
def test_a_month_runs_from_its_first_to_its_last_day(when, first, last):
    days = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
    assert (defaults.first_day(when), defaults.last_day(when)) == days
    assert defaults.when_between(*days) == when
    assert defaults.is_month(when) is (first != last)


@pytest.mark.parametrize(
    ("strings", "number"),
    [
        (3, 3),
        (0, None),
        (None, None),
        ([{"in_parallel": 2}, {"in_parallel": 1}], 3),
        ([{"in_parallel": 2}, {"in_series": 11}], None),
    ],
)
def test_the_number_of_strings_is_stated_or_added_up(strings, number):
    [array] = site(unit(), arrays=[{"unit_id": "inv-1", "strings": strings}]).arrays
    assert defaults.strings_of(array) == number


@pytest.mark.parametrize(
    ("strings", "longest"),
    [
        # Seven panels in three strings: one of them has three.
        (3, 3),
        (None, None),
        ([], None),
        ([{"in_series": 2, "in_parallel": 2}, {"in_series": 3}], 3),
        ([{"in_series": 2}, {"in_series": None}], None),
        ([{"in_series": 2}, {"tracker": 2}], None),
    ],
)
def test_the_longest_string_is_that_of_the_list_or_follows_from_the_number(strings, longest):
    [array] = site(unit(), arrays=[{"unit_id": "inv-1", "panels": 7, "strings": strings}]).arrays
    assert defaults.in_series(array) == longest


def test_no_date_has_no_days():
    for nothing in (None, UNSET):
        assert defaults.first_day(nothing) is defaults.last_day(nothing) is None
    assert defaults.when_between(None, None) is None
    # A row without a last day: the first is the day.
    assert defaults.when_between(dt.date(2016, 6, 1), None) == "2016-06-01"


@pytest.mark.parametrize(
    ("when", "answer"),
    [
        # Before 27 April 2019: the day before is, that day is not.
        ("2019-04-26", True),
        ("2019-04-27", False),
        ("2019-03", True),
        ("2019-04", None),
        ("2019-05", False),
        (None, None),
        (UNSET, None),
    ],
)
def test_a_comparison_inside_a_month_is_not_known(when, answer):
    assert defaults.before(when, dt.date(2019, 4, 27)) is answer


def test_a_month_begins_on_its_first_day_and_is_not_before_it():
    assert defaults.before("2022-09", dt.date(2022, 9, 1)) is False
    assert defaults.before("2022-08", dt.date(2022, 9, 1)) is True


@pytest.mark.parametrize("nothing", [0, None])
def test_nothing_in_a_rating_is_unknown(nothing):
    unsure = site(unit(rated_w=nothing, design_w=nothing)).units[0]
    assert defaults.registered_w(unsure) is None
    assert defaults.design_w(unsure) is None


@pytest.mark.parametrize("name", ["rated_w", "design_w", "rated_va", "rated_ma"])
def test_0_in_a_rating_decides_as_null_does(name):
    zero, null = (decided({**unit(), name: nothing}) for nothing in (0, None))
    assert zero.procedure == null.procedure
    assert zero.case.possible == null.case.possible


def test_0_in_a_count_is_a_number():
    assert site(unit(quantity=0)).units[0].quantity == 0
    assert procedure(unit(), unit("more", 20_000, quantity=0)) == "g98-single"


def test_0_in_a_limit_is_a_number():
    # 2 x 2990 W = 26 A on L1: with an export limit of nothing at all `sgi-2`, without one `sgi-3`.
    units = unit("a", 2990), unit("b", 2990)
    export = {"value": 0, "basis": "w_total", "type_tested": True}
    assert procedure(*units, limits={"export": export}) == "sgi-2"
    assert procedure(*units, limits={"export": {**export, "value": None}}) == "sgi-3"


def test_no_default_is_made_up_for_standing_and_standard():
    left_out = site({"id": "a", "source": "pv", "rated_w": 3680, "phases": ["L1"]})
    assert left_out.units[0].standards is UNSET
    assert defaults.certificates_of(left_out.units[0]) == ()
    assert left_out.supply.earthing is UNSET
    assert left_out.supply.looped is UNSET
    assert left_out.supply.cutout_a is UNSET


def test_an_apparent_power_stands_in_for_the_capacity():
    answer = decided(unit("a", None, rated_va=3680, standard="G98"))
    assert answer.procedure == "g98-single"
    assert found(answer, "va-for-w") == [("inform", "a")]
    # Beside it: where both are known the registered capacity counts, not the apparent power.
    both = decided(unit("a", 3680, rated_va=4000))
    assert both.procedure == "g98-single"
    assert found(both, "va-for-w") == []


@pytest.mark.parametrize("nearby", [None, {"premises": None}])
def test_neighbours_given_as_unknown_are_not_none(nearby):
    answer = decided(unit(), nearby=nearby)
    assert answer.procedure == "g98-several"
    assert found(answer, "neighbours") == [("decide", "site")]


@pytest.mark.parametrize("nearby", [{}, {"origin": "typed"}])
def test_neighbours_left_out_are_none(nearby):
    assert procedure(unit(), nearby=nearby) == "g98-single"


@pytest.mark.parametrize("limits", [None, {"export": None}])
def test_a_limit_given_as_unknown_is_none_and_is_told(limits):
    answer = decided(unit("a", 2990), unit("b", 2990), limits=limits)
    assert answer.procedure == "sgi-3"
    assert ("inform", "export-limit") in found(answer, "limit-not-known")
