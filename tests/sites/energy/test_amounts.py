"""Amounts of a year as they are shown, and what is left between them."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from connections.energy.result import Figures
from sites.energy.words.amounts import in_words, left_over, on_the_way

NOTHING = Figures(**dict.fromkeys(Figures.__struct_fields__, 0.0))


@pytest.mark.parametrize(
    ("changes", "lost", "apart"),
    [
        # 5,684 - 2,835 - 2,665 = 184
        ({"made": 5684.3, "on_site": 2835.4, "exported": 2664.6, "conversion": 184.3}, "184", "0"),
        # 2000.4 + 500.4 are shown as 2,000 and 500; 1,500 used: 1,000 are left, though 1,000.8 are.
        ({"made": 2000.4, "bought": 500.4, "on_site": 1500, "conversion": 1000.8}, "1000", "0"),
        # 8.2 kWh are left in the cells at the end, shown as 8: 100 - 50 - 8 = 42
        ({"made": 100, "on_site": 50, "left": 8.2, "conversion": 41.8}, "42", "0"),
        # 4.4 kWh sent out are shown with their tenth: 100 - 50 - 4.4 = 45.6
        ({"made": 100, "on_site": 50, "exported": 4.4, "conversion": 45.6}, "45.6", "0"),
        # Without cells: 1,800.6 + 2,003.8 = 3,804.4, shown as 1,801 + 2,004 and 3,804, 1 apart.
        ({"made": 3804.4, "on_site": 1800.6, "exported": 2003.8}, "0", "-1"),
        # Heat of the sun's inverter is before what is made.
        ({"dc": 4000, "potential": 3800, "made": 3800, "on_site": 3800, "conversion": 200}, "0",
         "0"),
    ],
)  # fmt: skip
def test_what_is_lost_on_the_way(changes, lost, apart):
    figures = replace(NOTHING, **changes)
    assert on_the_way(figures) == Decimal(lost)
    assert left_over(figures) - on_the_way(figures) == Decimal(apart)


@pytest.mark.parametrize(
    ("amount", "words"),
    [("0", "none"), ("184", "184 kWh"), ("1234", "1,234 kWh"), ("41.8", "41.8 kWh"),
     ("-12", "-12 kWh"), ("41.0", "41 kWh")],
)  # fmt: skip
def test_sums_in_words(amount, words):
    assert in_words(Decimal(amount)) == words
