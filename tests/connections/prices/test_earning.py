"""When a dearer design earns back what it costs more, worked by hand."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from connections.prices.earning import (
    Priced,
    VariedMoney,
    YearMoney,
    difference,
    earned_back,
    years_words,
)

CHEAP = Priced("Cheap", 8_000_00, YearMoney(600_00, 100_00))
DEAR = Priced("Dear", 9_000_00, YearMoney(500_00, 200_00))


class TestByHand:
    def test_a_thousand_pounds_and_two_hundred_a_year(self):
        found = difference(CHEAP, DEAR)
        assert (found.dearer, found.cheaper) == ("Dear", "Cheap")
        assert found.cost == 1_000_00
        # 600 - 100 = 500 a year against 500 - 200 = 300: 200 saved.
        assert found.saves == 200_00
        assert found.years == 5

    def test_the_range_is_that_of_one_assumption_at_a_time(self):
        found = difference(CHEAP, DEAR)
        # Cost 10 %: 900/200 = 4.5 and 1100/200 = 5.5. Of the 200, 100 is bought less and 100 sold
        # more: 20 % of each moves it by 20: 1000/220 = 4.55 and 1000/180 = 5.56.
        assert (found.least, found.most) == (Fraction(9, 2), Fraction(1000, 180))
        assert years_words(found.least, found.most) == "4.5 to 5.6 years"

    def test_the_three_that_move_it_most_are_ranked(self):
        use = VariedMoney("use", "20 %", YearMoney(300_00, 200_00), YearMoney(700_00, 0))
        low = VariedMoney("use", "20 %", YearMoney(250_00, 250_00), YearMoney(550_00, 50_00))
        found = difference(
            Priced(CHEAP.name, CHEAP.cost, CHEAP.year, (use,)),
            Priced(DEAR.name, DEAR.cost, DEAR.year, (low,)),
        )
        # Low: 100 - 0 = 100 saved, 10 years. High: 700 - 500 = 200 saved, 5 years.
        assert (found.movers[0].least, found.movers[0].most) == (Fraction(5), Fraction(10))
        # 1000/180 - 1000/220 = 1.01 for a price beats 5.5 - 4.5 = 1 for the cost.
        assert [moved.what for moved in found.movers] == [
            "use",
            "the price of what is bought",
            "the price of what is sold",
        ]

    def test_what_saves_nothing_is_never_earned_back(self):
        same = Priced("Dear", 9_000_00, CHEAP.year)
        found = difference(same, CHEAP)
        assert (found.years, found.least, found.most, found.movers) == (None, None, None, ())
        assert years_words(found.least, found.most) == "never"

    def test_an_assumption_that_makes_it_never_ranks_first(self):
        barely = Priced("Dear", 9_000_00, YearMoney(590_00, 100_00),
                        (VariedMoney("cells", "", YearMoney(600_00, 100_00),
                                     YearMoney(580_00, 100_00)),))  # fmt: skip
        found = difference(CHEAP, barely)
        assert found.years == 100
        assert found.movers[0].what == "cells"
        assert found.movers[0].least == 50
        assert found.movers[0].most is None
        assert found.most is None

    def test_words_are_rounded_outwards_and_end_at_forty(self):
        assert years_words(Fraction(611, 100), Fraction(921, 100)) == "6.1 to 9.3 years"
        assert years_words(Fraction(611, 100), Fraction(41)) == "6.1 to more than 40 years"
        assert years_words(Fraction(41), Fraction(50)) == "more than 40 years"
        assert years_words(Fraction(5), None) == "5 years to never"


money = st.builds(YearMoney, st.integers(0, 500_000), st.integers(0, 500_000))
priced = st.builds(Priced, st.just("A design"), st.integers(1, 3_000_000), money)


@given(priced, priced)
def test_the_order_of_two_designs_does_not_matter(one, other):
    found, turned = difference(one, other), difference(other, one)
    if one.cost != other.cost:
        assert found == turned
    assert found.cost >= 0


@given(priced, priced)
def test_the_years_lie_within_their_range(one, other):
    found = difference(one, other)
    if found.years is not None:
        assert found.least is not None
        assert found.least <= found.years
        assert found.most is None or found.years <= found.most
        # The year's saving, so many times, is the cost.
        assert found.years * found.saves == found.cost


@given(st.integers(0, 10**7), st.integers(-(10**6), 0))
def test_without_a_saving_nothing_is_earned_back(cost, saves):
    assert earned_back(cost, saves) is None
