"""Real, reactive and apparent power, and the trap at 16 A. Values by hand: at 0.95 the angle is
18.195 degrees, sin 0.31225, tan 0.32868."""

from math import inf, nan

import pytest

from connections.electrical.circuit import design_current_a
from connections.electrical.electrical_errors import ElectricalError
from connections.electrical.power import apparent_va, at_power_factor


@pytest.mark.parametrize(
    ("w", "phases", "unity", "kept"),
    [
        # kW at unity and kept at 0.95 [A]; three phases at 400 V between lines.
        (3680, 1, 16.000, 16.842),
        (5000, 1, 21.739, 22.883),
        (6000, 1, 26.087, 27.460),
        (11_040, 3, 15.935, 16.774),
        (17_000, 3, 24.537, 25.829),
        (50_000, 3, 72.169, 75.967),
    ],
)
def test_real_power_that_is_kept_takes_more_current(w, phases, unity, kept):
    for cos_phi, wanted in ((1, unity), (0.95, kept)):
        va = apparent_va(*at_power_factor(w, cos_phi))
        found = design_current_a(apparent_va=va, phases=phases, nominal_v=230)
        assert found == pytest.approx(wanted, abs=6e-4)


def test_the_trap_at_16_amps():
    # 3.68 kW kept at 0.95: 3680 x 0.32868 = 1209.6 var, 3873.7 VA.
    power = at_power_factor(3680, 0.95, exports_reactive=False)
    assert power == pytest.approx((3680, -1209.56), abs=0.01)
    assert apparent_va(*power) == pytest.approx(3873.7, abs=0.05)
    assert design_current_a(apparent_va=3680, phases=1, nominal_v=230) == 16.0


def test_demand_keeps_the_sign_of_its_reactive_power():
    assert at_power_factor(-3680, 0.95) == pytest.approx((-3680, 1209.56), abs=0.01)


@pytest.mark.parametrize("bad", [0, 0.01, -0.95, 1.0001, nan, inf])
def test_a_power_factor_that_is_none_is_refused(bad):
    with pytest.raises(ElectricalError, match="power factor") as caught:
        at_power_factor(3680, bad)
    assert caught.value.field == "cos_phi"


@pytest.mark.parametrize("bad", [nan, inf, -inf, 1e200])
def test_a_power_that_is_none_is_refused(bad):
    with pytest.raises(ElectricalError, match="p_w must be a number"):
        at_power_factor(bad, 0.95)
    with pytest.raises(ElectricalError, match="q_var must be a number"):
        apparent_va(0, bad)
