"""A sun, a use and some plants that several tests take."""

import pytest

from connections.energy.load import household_load
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, SharedInverter, StorageUnit
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import typical_sun

SOUTH = (PvArray(6000, 35, 180),)
CELLS = Cells(10_000, 3000, 3000)


def separate(limit_w=3680, rated_w=5000, cells_w=3000):
    return Plant(
        pv=(PvInverter("inv-1", rated_w, SOUTH),),
        storage=(StorageUnit("bat-1", cells_w, CELLS),),
        export_limit_w=limit_w,
    )


def shared(limit_w=3680, rated_w=5000):
    return Plant(shared=(SharedInverter("inv-1", rated_w, SOUTH, CELLS),), export_limit_w=limit_w)


def panels(limit_w=3680, rated_w=5000):
    return Plant(pv=(PvInverter("inv-1", rated_w, SOUTH),), export_limit_w=limit_w)


@pytest.fixture(scope="session")
def sun():
    return typical_sun(region(3))


@pytest.fixture(scope="session")
def use():
    return household_load(4000)


@pytest.fixture
def one_shared(sun, use):
    return shared(), sun, use


@pytest.fixture(scope="session")
def plants():
    """How each plant is made: by its limit [W] and the rating of its inverter [W]."""
    return {"panels": panels, "separate": separate, "shared": shared}
