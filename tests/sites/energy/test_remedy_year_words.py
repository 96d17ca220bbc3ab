"""The sentence of what a change costs in energy: every amount beside it is the arithmetic."""

import pytest
from msgspec.structs import replace

from connections.energy.asked import FileAsked, YearAsked
from connections.energy.options import Options, Window
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, StorageUnit
from connections.energy.result import Figures
from connections.energy.weather.regions import region
from sites.energy.words.remedy_years import (
    UNCHANGED,
    as_it_stands,
    cannot_be_told,
    difference,
    rests,
)

NOTHING = Figures(**dict.fromkeys(Figures.__struct_fields__, 0.0))
# 4,110 made: 2,000 used here and 2,110 out; 1,500 bought.
STANDS = replace(NOTHING, made=4110.4, exported=2110.0, imported=1500.0)


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        # 4,110 - 3,898 = 212 = what the limit takes; 1,535 - 1,500 = 35; 2,110 - 1,863 = 247
        (
            {},
            {"made": 3898.4, "lost": 212, "lost_percent": 5.16, "imported": 1535, "exported": 1863},
            "In a year: 212 kWh less is made (3,898 in place of 4,110), all of it held back by the "
            "export limit: 5.2 % of what could be made; 35 kWh more is bought; 247 kWh less is "
            "exported.",
        ),
        # 4,110 - 3,898 = 212, of which the limit takes 200: it is said by itself.
        (
            {},
            {"made": 3898.4, "lost": 200, "lost_percent": 4.9},
            "In a year: 212 kWh less is made (3,898 in place of 4,110); 200 kWh is held back by "
            "the export limit, 4.9 % of what could be made.",
        ),
        # A limit that took 100 takes 300: 4,110 - 3,910 = 200
        (
            {"lost": 100, "lost_percent": 2.4},
            {"made": 3910, "lost": 300, "lost_percent": 7.1},
            "In a year: 200 kWh less is made (3,910 in place of 4,110); 300 kWh in place of 100 is "
            "held back by the export limit, 7.1 % of what could be made.",
        ),
        # Without the limit: 4,210 - 4,110 = 100
        (
            {"lost": 100, "lost_percent": 2.4},
            {"made": 4210, "exported": 2210, "lost": 0, "lost_percent": 0},
            "In a year: 100 kWh more is made (4,210 in place of 4,110); nothing is held back by an "
            "export limit, in place of 100 kWh; 100 kWh more is exported.",
        ),
        # Rounding alone makes 1 kWh less: nothing is held back, and nothing is said of it.
        (
            {"made": 6108.6},
            {"made": 6107.9},
            "In a year: 1 kWh less is made (6,108 in place of 6,109).",
        ),
        # 7.3 - 3.3 = 4.0, of which 3.5 is clipped: that is not all of it.
        (
            {"made": 7.3},
            {"made": 3.3, "clipped": 3.5},
            "In a year: 4.0 kWh less is made (3.3 in place of 7.3); 3.5 kWh is clipped at the "
            "inverter.",
        ),
        # 2.5 of 4,110 is 0.06 %, and 1.5 is 0.04 %.
        (
            {},
            {"made": 4108, "lost": 1.5, "lost_percent": 0.036},
            "In a year: 2 kWh less is made (4,108 in place of 4,110); 1.5 kWh is held back by the "
            "export limit, less than 0.1 % of what could be made.",
        ),
        # 4,110 - 3,110 = 1,000 = what is clipped
        (
            {},
            {"made": 3110, "clipped": 1000, "exported": 1110},
            "In a year: 1,000 kWh less is made (3,110 in place of 4,110), all of it clipped at the "
            "inverter; 1,000 kWh less is exported.",
        ),
        # 4,110 - 3,110 = 1,000 from 1,000 + 500 lost and clipped less 500: each by itself
        (
            {"clipped": 500},
            {"made": 3110, "clipped": 1000, "lost": 500, "lost_percent": 10.0},
            "In a year: 1,000 kWh less is made (3,110 in place of 4,110); 500 kWh is held back by "
            "the export limit, 10.0 % of what could be made; 1,000 kWh in place of 500 is clipped "
            "at the inverter.",
        ),
        # A smaller inverter passes on 79 kWh more of the same sun: 5,684 - 5,339 = 345 = 424 - 79
        (
            {"made": 5684, "dc": 6000, "potential": 5684, "conversion": 316},
            {"made": 5339, "dc": 6000, "potential": 5763, "conversion": 237, "clipped": 424},
            "In a year: 345 kWh less is made (5,339 in place of 5,684); 424 kWh is clipped at the "
            "inverter; the inverter itself loses 79 kWh less of the sun.",
        ),
        # Another roof gives another sun: the inverter is not what tells the two apart.
        (
            {"made": 5684, "dc": 6000, "potential": 5684, "conversion": 316},
            {"made": 5339, "dc": 6500, "potential": 5763, "conversion": 737, "clipped": 424},
            "In a year: 345 kWh less is made (5,339 in place of 5,684); 424 kWh is clipped at the "
            "inverter.",
        ),
        # -200 made, 30 more bought and 120 less sent out: 200 - 30 - 120 = 50 less on the way
        (
            {"conversion": 184},
            {"made": 3910.4, "imported": 1530, "exported": 1990, "conversion": 133.8},
            "In a year: 200 kWh less is made (3,910 in place of 4,110); 30 kWh more is bought; 120 "
            "kWh less is exported; 50 kWh less is lost in conversion and cells.",
        ),
        # Less than 1 kWh more clipped explains nothing.
        (
            {},
            {"made": 4100, "clipped": 0.6},
            "In a year: 10 kWh less is made (4,100 in place of 4,110).",
        ),
        # Whole amounts lie whole kWh apart; 1,508 - 1,500
        (
            {},
            {"imported": 1508.2},
            "In a year: as much is made; 8 kWh more is bought.",
        ),
        # Below 10 kWh a tenth is told: 9.6 - 4.2 = 5.4
        (
            {"imported": 4.2},
            {"imported": 9.6},
            "In a year: as much is made; 5.4 kWh more is bought.",
        ),
        # 12 - 9.6 = 2.4
        (
            {"imported": 9.6},
            {"imported": 12.0},
            "In a year: as much is made; 2.4 kWh more is bought.",
        ),
        ({}, {"made": 0, "exported": 0, "imported": 3500},
         "In a year: nothing is made in place of 4,110 kWh; 2,000 kWh more is bought; 2,110 kWh "
         "less is exported."),
        # Nothing made is nothing clipped: 40 before.
        ({"clipped": 40}, {"made": 0, "clipped": 0},
         "In a year: nothing is made in place of 4,110 kWh."),
        ({"made": 0}, {"made": 0, "imported": 1400}, "In a year: 100 kWh less is bought."),
        # 4,110.4 and 4,109.6 are both shown as 4,110.
        ({}, {"made": 4109.6}, UNCHANGED),
        ({}, {}, UNCHANGED),
        ({"imported": 0.0}, {"imported": 0.04}, UNCHANGED),
    ],
)  # fmt: skip
def test_the_sentence(before, after, says):
    stands = replace(STANDS, **before)
    assert difference(stands, replace(stands, **after)) == says


def test_three_rounded_figures_may_differ_by_one():
    """4,110.4 - 211.6 = 3,898.8: 3,899 in place of 4,110 is 211, and 212 is lost."""
    after = replace(STANDS, made=3898.8, lost=211.6, lost_percent=5.15)
    assert "211 kWh less is made (3,899 in place of 4,110), all of it held back" in difference(
        STANDS, after
    )


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {},
            "As it stands, in a year 4,110 kWh is made; 1,500 kWh is bought; 2,110 kWh is "
            "exported.",
        ),
        (
            {"lost": 212, "lost_percent": 4.91, "exported": 0, "made": 0},
            "As it stands, in a year nothing is made; 212 kWh is held back by the export limit, "
            "4.9 % of what could be made; 1,500 kWh is bought; nothing is exported.",
        ),
    ],
)
def test_the_year_as_it_stands(changes, says):
    assert as_it_stands(replace(STANDS, **changes)) == says


ASKED = YearAsked(Plant(told=("Assumed: south.",)), region(3), 3500)
PANELS = (PvInverter("pv-1", 3600, (PvArray(4400, 35, 180),)),)
FILE = FileAsked("0" * 64, "utc")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {},
            "What each change costs in energy rests on a typical year of the region Southern "
            "England, and on a use of 3,500 kWh a year, in steps of 30 minutes.",
        ),
        (
            {"measured_kwh": 3600, "measured_peak_w": 4000, "options": Options(step_minutes=15)},
            "What each change costs in energy rests on a typical year of the region Southern "
            "England, a measured yield of 3,600 kWh, and on a use of 3,500 kWh a year, in steps of "
            "15 minutes.",
        ),
        (
            {"meter": FILE, "irradiance": FILE, "yearly_use_kwh": None},
            "What each change costs in energy rests on uploaded irradiance, and on uploaded meter "
            "readings, in steps of 30 minutes.",
        ),
    ],
)
def test_what_sentences_rest_on(changes, says):
    assert rests(replace(ASKED, **changes)) == (says, "Assumed: south.")


def test_where_clipping_is_counted_is_told_of_panels():
    asked = replace(ASKED, plant=replace(ASKED.plant, pv=PANELS))
    assert rests(asked)[0].endswith(
        "in steps of 30 minutes. What is made, clipped and held back is counted at AC behind the "
        "sun’s inverter; what cells lose comes after it."
    )


def test_what_cannot_be_told():
    assert cannot_be_told("Needs the peak power.") == (
        "What it costs in energy can\u2019t be told: Needs the peak power."
    )


@pytest.mark.parametrize("cells", [True, False])
def test_windows_are_told_where_there_are_cells(cells):
    options = Options(cheap=Window(30, 330), sell=Window(960, 1140))
    stores = (StorageUnit("bat-1", 3600, Cells(9500, 3600, 3600)),) if cells else ()
    told = rests(replace(ASKED, plant=Plant(storage=stores), options=options))
    assert told[1:] == (
        (
            "Cells are filled from the network from 00:30 to 05:30.",
            "Cells are emptied into the network from 16:00 to 19:00.",
        )
        if cells
        else ()
    )
