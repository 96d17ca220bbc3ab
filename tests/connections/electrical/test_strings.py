"""Voltages of strings: a hand example, and the single-diode model of pvlib over many panels.

The panels of pvlib's table (California Energy Commission, in the installed package) are picked by
technology and position; no maker's name is used.
"""

from decimal import Decimal
from typing import Any

import pytest

from connections.electrical.strings import parallel_a, string_v

PANEL = {"voc_mv": 49_500, "voc_ppm_k": -2700}


def test_the_voltages_of_a_string_by_hand():
    # As a handbook works it: 11 panels of Voc 49.5 V and Vmp 41.4 V, -0.27 %/K; cells at -15 and
    # 70 degrees. One panel moves by 0.0027 x 49.5 = 0.13365 V a kelvin.
    # Voc: 49.5 + 40 x 0.13365 = 54.846 V; eleven: 603.306 V.
    assert string_v(in_series=11, mv=49_500, cell_c=-15, **PANEL) == Decimal("603.306")
    # Vmp at 70: 41.4 - 45 x 0.13365 = 35.38575 V; eleven: 389.24325 V.
    assert string_v(in_series=11, mv=41_400, cell_c=70, **PANEL) == Decimal("389.24325")
    # Vmp at -15: 41.4 + 5.346 = 46.746 V; eleven: 514.206 V. At 25 nothing moves: 455.4 V.
    assert string_v(in_series=11, mv=41_400, cell_c=-15, **PANEL) == Decimal("514.206")
    assert string_v(in_series=11, mv=41_400, cell_c=25, **PANEL) == Decimal("455.4")
    # Two strings of 13.9 A and one of 13.5 A: 41.3 A.
    assert parallel_a([(2, 13_900), (1, 13_500)]) == Decimal("41.3")


@pytest.fixture(scope="module")
def panels() -> Any:
    """Every fiftieth crystalline panel of the table."""
    from pvlib.pvsystem import retrieve_sam

    table = retrieve_sam("CECMod").T
    return table[table["Technology"].str.contains("c-Si")].iloc[::50]


def _model(panels: Any, cell_c: float) -> tuple[list[float], list[float]]:
    """Voc and Vmp of each panel after the single-diode model in full sun [V]."""
    from pvlib.pvsystem import calcparams_cec, singlediode

    names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust")
    figures = calcparams_cec(1000, cell_c, *(panels[n].astype(float).to_numpy() for n in names))
    found = singlediode(*figures)
    return list(found["v_oc"]), list(found["v_mp"])


@pytest.mark.parametrize("cell_c", [-15, 70])
def test_a_line_through_test_conditions_follows_the_single_diode_model(panels, cell_c):
    # The coefficient is that of the model at 25 degrees, as a data sheet states it.
    voc, vmp = _model(panels, 25)
    warmer, cooler = _model(panels, 26)[0], _model(panels, 24)[0]
    far_voc, far_vmp = _model(panels, cell_c)
    assert len(voc) > 300
    for k, open_v in enumerate(voc):
        ppm = round((warmer[k] - cooler[k]) / 2 / open_v * 1_000_000)
        figures = {"in_series": 1, "voc_mv": round(open_v * 1000), "voc_ppm_k": ppm}
        ours = string_v(mv=round(open_v * 1000), cell_c=cell_c, **figures)
        assert float(ours) == pytest.approx(far_voc[k], rel=0.01)
        working = string_v(mv=round(vmp[k] * 1000), cell_c=cell_c, **figures)
        assert float(working) == pytest.approx(far_vmp[k], rel=0.02)
