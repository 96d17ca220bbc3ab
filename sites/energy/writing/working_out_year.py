"""Work of a design's energy year.

`asked` is a connections.energy.asked.YearAsked, `results` a connections.energy.result.EnergyYear.
"""

from msgspec import convert, to_builtins

from connections.energy.asked import YearAsked, year_of
from sites.energy.writing.energy_faults import noting_energy_faults
from sites.house import storage
from sites.house.models import Work
from sites.house.writing.working_out import WorkKind, finish


def work_out_year(work: Work) -> bool:
    """Work out the year; return whether it was noted."""
    noted = False
    with noting_energy_faults(work):
        year = year_of(convert(work.asked, YearAsked), storage.stored)
        noted = finish(work, to_builtins(year))
    return noted


KIND = WorkKind(work_out_year)
