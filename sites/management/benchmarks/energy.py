"""Measure the energy year for `manage.py bench`: invented plants in the south of England."""

import time
from collections.abc import Callable, Iterator

from connections.energy.options import Options, Window
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, SharedInverter, StorageUnit
from sites.management.benchmarks.core import Figure, median_s

_ROOF = (PvArray(4000, 35, 160), PvArray(2000, 20, 250))
_CELLS = Cells(10_000, 3600, 3600)
SEPARATE = Plant(
    pv=(PvInverter("inv-1", 5000, _ROOF),),
    storage=(StorageUnit("bat-1", 3600, _CELLS),),
    export_limit_w=3680,
)
SHARED = Plant(shared=(SharedInverter("inv-1", 5000, _ROOF, _CELLS),), export_limit_w=3680)
LIMITS_W = [250 * number for number in range(1, 21)]


def energy() -> Iterator[Figure]:
    """Years of a design in half hours, and a sweep of its export limit."""
    from connections.energy.load import household_load
    from connections.energy.weather.regions import region
    from connections.energy.weather.sunshine import typical_sun
    from connections.energy.year import each_limit, energy_year

    def first() -> object:
        return energy_year(SEPARATE, typical_sun(region(3)), household_load(4000))

    begun = time.perf_counter()
    first()
    alone = time.perf_counter() - begun
    sun, use = typical_sun(region(3)), household_load(4000)

    def year(plant: Plant, options: Options | None = None) -> Callable[[], object]:
        return lambda: energy_year(plant, sun, use, options)

    note = f"low, high and quarter hours too; the first of a process {alone:.1f} s"
    for name, run, said in (
        ("separate inverters", year(SEPARATE), note),
        ("a hybrid inverter", year(SHARED), ""),
        ("a cheap window", year(SHARED, Options(cheap=Window(30, 330))), ""),
    ):
        spent = median_s(run, 20) * 1000
        yield Figure(f"a year in half hours, {name}, median", spent, "ms", 100, True, said)
    for name, plant in (("separate inverters", SEPARATE), ("a hybrid inverter", SHARED)):

        def swept(plant: Plant = plant) -> object:
            return list(each_limit(plant, sun, use, LIMITS_W))

        spent = median_s(swept, 20) * 1000
        yield Figure(f"20 export limits, {name}, median", spent, "ms", 400, True)
