"""Figures and facts in words."""

from typing import Any

import msgspec
import pytest

from connections.diagram.circuits import words
from connections.facts.site import Array, Cable, Limit, Load, Protection, Storage, Supply, Unit

NB = "\u00a0"


def made(of: type[Any], **facts: Any) -> Any:
    return msgspec.convert(facts, of)


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        (3680, "kW", "3.68 kW"),
        (300, "kW", "0.3 kW"),
        (5000, "kW", "5 kW"),
        (1, "kW", "0.001 kW"),
        (10**9, "kW", "1000000 kW"),
        (0, "A", "0 A"),
    ],
)
def test_thousandths(value: int, unit: str, expected: str) -> None:
    assert words.thousandths(value, unit) == expected.replace(" ", NB)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"rated_w": 3680}, "3.68 kW"),
        # 12 x 300 W = 3600 W
        ({"rated_w": 300, "quantity": 12}, "12 × 0.3 kW = 3.6 kW"),
        ({"rated_w": None, "rated_va": 4000}, "4 kVA (kW not known)"),
        ({"rated_w": None}, "rating not known"),
        ({"rated_w": 0}, "rating not known"),
        ({"rated_w": 3680, "quantity": None}, "quantity not known, each 3.68 kW"),
    ],
)
def test_unit_rating(facts: dict[str, Any], expected: str) -> None:
    unit = made(Unit, id="a", source="pv", phases=["L1"], **facts)
    assert words.unit_rating(unit).replace(NB, " ") == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "type test not known"),
        ({"standard": "G99"}, "G99, type test not known"),
        ({"type_tested": "full", "standard": "G98"}, "fully type tested to G98"),
        ({"type_tested": "full"}, "fully type tested, standard not known"),
        ({"type_tested": "part", "standard": "G99"}, "partly type tested to G99"),
        ({"type_tested": "no", "standard": "G99"}, "G99, not type tested"),
        ({"type_tested": "no"}, "not type tested"),
    ],
)
def test_type_test(facts: dict[str, Any], expected: str) -> None:
    assert words.type_test(made(Unit, id="a", source="pv", rated_w=1, phases=["L1"], **facts)) == (
        expected
    )


@pytest.mark.parametrize(
    ("mode", "expected"),
    [
        ("long-term-parallel", ""),
        ("short-term-parallel", "short-term parallel"),
        ("switched", "switched only"),
        (None, "operating mode not known"),
    ],
)
def test_operating_mode(mode: str | None, expected: str) -> None:
    unit = made(Unit, id="a", source="pv", rated_w=1, phases=["L1"], operating_mode=mode)
    assert words.operating_mode(unit) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (
            {"phases": 1, "earthing": "TT"},
            ("single-phase (L1), 230 V phase to neutral", "earthing TT"),
        ),
        (
            {"phases": 3, "nominal_v": None, "earthing": "unknown"},
            ("three-phase (L1 L2 L3), voltage not known", "earthing to be confirmed on site"),
        ),
        (
            {
                "phases": 2,
                "looped": True,
                "import_capacity_va": 18000,
                "export_capacity_va": 0,
            },
            (
                "split single-phase (L1 L2), 230 V phase to neutral",
                "earthing to be confirmed on site, looped service",
                "agreed capacity: import 18 kVA, export 0 kVA",
            ),
        ),
    ],
)
def test_supply(facts: dict[str, Any], expected: tuple[str, ...]) -> None:
    lines = words.supply_lines(made(Supply, **facts))
    assert tuple(line.replace(NB, " ") for line in lines) == expected


@pytest.mark.parametrize(
    ("azimuth", "expected"),
    [
        (0, "north"),
        (22, "north"),
        (23, "north-east"),
        (135, "south-east"),
        (180, "south"),
        (202, "south"),
        (203, "south-west"),
        (270, "west"),
        (337, "north-west"),
        (338, "north"),
        (360, "north"),
    ],
)
def test_aspect(azimuth: int, expected: str) -> None:
    """Eight points of the compass, each 45 degrees wide and centred on its own azimuth."""
    array = made(Array, unit_id="a", peak_w=4200, azimuth_deg=azimuth)
    assert words.panels(array)[1] == f"faces {expected}{NB}({azimuth}°)"


def test_several_panels() -> None:
    arrays = tuple(made(Array, unit_id="a", peak_w=peak) for peak in (1000, 2500, None))
    # 1000 W + 2500 W = 3500 W
    assert words.several_panels(arrays)[0].replace(NB, " ") == (
        "3 arrays, 3.5 kWp in all, 1 of them not known"
    )


@pytest.mark.parametrize(
    ("energies", "expected"),
    [
        ((9500,), "9.5 kWh usable"),
        ((None,), "usable energy not known"),
        ((5000, None, 4500), "3 sets of cells, 9.5 kWh usable in all, 1 of them not known"),
    ],
)
def test_cells(energies: tuple[int | None, ...], expected: str) -> None:
    stores = tuple(made(Storage, unit_id="a", usable_wh=energy) for energy in energies)
    assert words.cells(stores)[0].replace(NB, " ") == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"kind": "MCB", "rating_a": 20}, "MCB 20 A"),
        ({"kind": "fuse"}, "fuse"),
        ({"kind": "MCB", "rating_a": 20, "breaker_type": "B"}, "MCB B20"),
        ({"kind": "RCD", "rating_a": 40, "rcd_type": "B"}, "RCD 40 A, type B"),
        (
            {"kind": "RCD", "rating_a": 40, "rcd_type": "Type A", "direction": "bidirectional"},
            "RCD 40 A, Type A, bidirectional",
        ),
        ({"kind": "RCD", "rating_a": 63, "trip_ma": 30}, "RCD 63 A, 30 mA"),
        ({"kind": "surge protection"}, "surge protection"),
        ({"kind": "isolator", "place": "hall"}, "isolator, hall"),
    ],
)
def test_device(facts: dict[str, Any], expected: str) -> None:
    assert words.device(made(Protection, **facts)).replace(NB, " ") == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"csa_mm2": "2.5", "length_mm": 12500}, "cable 2.5 mm², 12.5 m"),
        ({"csa_mm2": "6", "material": "copper"}, "cable 6 mm², copper"),
        ({"csa_mm2": "6", "protective_mm2": "2.5"}, "cable 6 mm², protective 2.5 mm²"),
        ({}, "cable"),
    ],
)
def test_cable(facts: dict[str, Any], expected: str) -> None:
    run = made(Cable, **{"from": "main", "to": "a"}, **facts)
    assert words.cable(run).replace(NB, " ") == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (
            {"value": 16000, "basis": "ma_per_phase", "type_tested": True},
            "export limit 16 A on each phase, fully type tested",
        ),
        (
            {"value": 5000, "basis": "w_total", "type_tested": False},
            "export limit 5 kW in all, not fully type tested",
        ),
        ({"value": 0, "basis": "va_total"}, "export limit 0 kVA in all, type test not known"),
        (
            {"value": None, "basis": "w_total"},
            "export limit, value not known, type test not known",
        ),
    ],
)
def test_limit(facts: dict[str, Any], expected: str) -> None:
    assert words.limit("export", made(Limit, **facts)).replace(NB, " ") == expected


def test_load() -> None:
    assert words.load(made(Load, name="heat pump", w=3500)).replace(NB, " ") == "heat pump 3.5 kW"
    assert words.load(made(Load, name="charge point")) == "charge point"


@pytest.mark.parametrize(("now", "said"), [(1, True), (3, False), (None, False)])
def test_a_supply_that_has_still_to_be_asked_for(now: int | None, said: bool) -> None:
    lines = words.supply_lines(made(Supply, phases=3, now_phases=now))
    assert ("new supply, to be asked for; single-phase now" in lines) == said
