"""Panels and cells: behind which inverter, added when, and what they do to the figures."""

from collections.abc import Iterator

from connections.facts.defaults import kind_of, part_status, rating
from connections.facts.site import Array, Storage
from connections.rules.case import Case, Found
from connections.rules.deciding_facts import dc_side_changes


def behind_nothing(case: Case) -> Iterator[Found]:
    """Panels or cells that name a unit which is not there, is taken out, or is no inverter."""
    units = {unit.id: unit for unit in case.site.units}
    groups: tuple[tuple[str, str, tuple[Array | Storage, ...]], ...] = (
        ("arrays", "panels", case.site.arrays),
        ("storage", "cells", case.site.storage),
    )
    for name, what, parts in groups:
        for i, part in enumerate(parts):
            unit = units.get(part.unit_id)
            if part_status(part.status, unit) == "removed":
                continue
            why = None
            if unit is None:
                why = "missing"
            elif unit.status == "removed":
                why = "removed"
            elif kind_of(unit) in ("synchronous", "asynchronous"):
                why = "no-inverter"
            if why is not None:
                position = -1 if unit is None else case.site.units.index(unit)
                yield Found(
                    "behind-nothing",
                    f"{name}[{i}]",
                    "stops",
                    {"what": what, "unit": part.unit_id, "why": why},
                    read=(
                        (f"{name}[{i}].unit_id", part.unit_id),
                        *(
                            (f"units[{position}].{field}", getattr(unit, field))
                            for field in ("status", "kind")
                            if unit is not None
                        ),
                    ),
                )


def dc_side_change(case: Case) -> Iterator[Found]:
    """Panels or cells added behind an inverter that does not change."""
    for path in dc_side_changes(case.site):
        name, _, rest = path.partition("[")
        i = int(rest[:-1])
        part: Array | Storage = case.site.arrays[i] if name == "arrays" else case.site.storage[i]
        yield Found(
            "dc-side-change",
            path,
            "decide",
            {"what": "panels" if name == "arrays" else "cells", "unit": part.unit_id},
            read=((f"{path}.unit_id", part.unit_id), (f"{path}.status", part.status)),
        )


def smaller_array(case: Case) -> Iterator[Found]:
    """Panels whose peak power is less than their inverter's rating: the rating counts."""
    peaks: dict[str, int | None] = {}
    paths: dict[str, list[tuple[str, object]]] = {}
    units = {unit.id: unit for unit in case.site.units}
    for i, array in enumerate(case.site.arrays):
        unit = units.get(array.unit_id)
        if unit is None or part_status(array.status, unit) == "removed":
            continue
        peak = rating(array.peak_w)
        so_far = peaks.get(array.unit_id, 0)
        peaks[array.unit_id] = None if peak is None or so_far is None else so_far + peak
        paths.setdefault(array.unit_id, []).append((f"arrays[{i}].peak_w", array.peak_w))
    for line in case.lines:
        peak = peaks.get(line.unit.id)
        whole = line.rated[0] * line.quantity[0]
        if line.unit.source == "pv" and peak and case.capacity_known and peak < whole:
            yield Found(
                "array-smaller",
                line.unit.id,
                "inform",
                {"unit": line.unit.id, "peak_w": peak, "rated_w": whole},
                read=(
                    *paths[line.unit.id],
                    (f"units[{line.index}].rated_w", line.unit.rated_w),
                ),
            )


def does_not_export(case: Case) -> Iterator[Found]:
    """Cells said not to export: their inverter still counts in full."""
    for i, cells in enumerate(case.site.storage):
        line = next((line for line in case.lines if line.unit.id == cells.unit_id), None)
        if cells.exports is False and line is not None:
            yield Found(
                "does-not-export",
                f"storage[{i}]",
                "inform",
                {"unit": cells.unit_id},
                read=((f"storage[{i}].exports", False),),
            )


def outside_module(case: Case) -> Iterator[Found]:
    """Storage commissioned before the date that keeps it out of the module."""
    for line in case.lines:
        before = case.ready.storage_before
        if line.separate_storage and before is not None:
            yield Found(
                "storage-outside-module",
                line.unit.id,
                "inform",
                {"unit": line.unit.id, "before": before.isoformat()},
                keys=("storage.separate_before",),
                read=((f"units[{line.index}].commissioned_on", line.unit.commissioned_on),),
            )


QUESTIONS = (behind_nothing, dc_side_change, outside_module, smaller_array, does_not_export)
