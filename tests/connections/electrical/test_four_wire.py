"""What the neutral of three phases carries."""

import pytest

from connections.electrical.four_wire import neutral_current_a


def test_neutral_current_of_an_example():
    # 3.68 kVA on L1, 5 on L2, 10 on three: 30.493 / 36.232 / 14.493 A, neutral 19.513 A.
    assert neutral_current_a(30.493, 36.232, 14.493) == pytest.approx(19.513, abs=2e-3)
    assert neutral_current_a(16, 16, 16) == 0
    assert neutral_current_a(16, 0, 0) == 16
