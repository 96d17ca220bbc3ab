"""Table of the months of a design's energy year, in whole kWh that add up."""

from msgspec import Struct

from connections.energy.result import EnergyYear, Month


class MonthTable(Struct, frozen=True):
    """The names of the columns; for each month its name and its figures."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


_PLAIN = (
    "Made", "Used by the house", "of it from sun and cells", "Exported", "Bought", "Clipped",
    "Lost behind the limit",
)  # fmt: skip
_OF_CELLS = (
    "Into the cells from the network", "Lost in conversion and cells",
    "More in the cells at its end",
)  # fmt: skip


def month_table(year: EnergyYear) -> MonthTable:
    """Return the months of a year; columns of cells only if there are cells."""
    with_cells = any(_has_cells(month) for month in year.months)
    return MonthTable(
        (*_PLAIN, *_OF_CELLS) if with_cells else _PLAIN,
        tuple(
            (month.name, (*_plain(month), *(_of_cells(month) if with_cells else ())))
            for month in year.months
        ),
    )


def _has_cells(month: Month) -> bool:
    return bool(month.bought or month.kept or round(month.on_the_way, 6))


def _plain(month: Month) -> tuple[str, ...]:
    return tuple(
        _whole(amount)
        for amount in (month.made, month.used, month.on_site, month.exported, month.imported,
                       month.clipped, month.lost)
    )  # fmt: skip


def _of_cells(month: Month) -> tuple[str, ...]:
    """Return the figures of cells; derives the loss from rounded ones, so that the row adds up."""
    lost = round(month.made) + round(month.bought) - round(month.on_site)
    lost -= round(month.exported) + round(month.kept)
    return _whole(month.bought), f"{max(lost, 0):,}", _whole(month.kept)


def _whole(amount: float) -> str:
    return f"{round(amount):,}"
