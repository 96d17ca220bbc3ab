"""Panels and cells: their inverter, when they were added, and their effect on the figures."""

from collections.abc import Iterator
from operator import attrgetter

from connections.facts.defaults import (
    first_day,
    kind_of,
    known,
    mode_of,
    part_status,
    quantity_of,
    rating,
    registered_w,
    status_of,
)
from connections.facts.site import Array, Panel, Storage
from connections.rulebook.telling import dated
from connections.rules.case import Case
from connections.rules.deciding_facts import dc_side_changes
from connections.rules.figures import kilowatts
from connections.rules.kinds import Found, Kind, Read, Values, Words
from connections.rules.resting import unchanged


def _behind_nothing_words(v: Values) -> Words:
    why = {
        "missing": "which is not there",
        "removed": "which is taken out",
        "no-inverter": "which is no inverter",
    }[v["why"]]
    return (
        f"{v['what'].capitalize()} sit behind {v['unit']}, {why}.",
        "Every string of panels and every cell needs an inverter to sit behind.",
    )


BEHIND_NOTHING = Kind(
    "behind-nothing",
    "stops",
    "Do panels or cells sit behind no inverter?",
    _behind_nothing_words,
)


def behind_nothing(case: Case) -> Iterator[Found]:
    """Panels or cells whose named unit does not exist, is removed, or is no inverter."""
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
                yield BEHIND_NOTHING.found(
                    f"{name}[{i}]",
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


def _dc_side_words(v: Values) -> Words:
    told = (
        "the operator is asked whether a notice is enough or new storage is applied for first"
        if v["alone"]
        else "what is sent for the other plant tells of it"
    )
    asked = (
        " Decide whether the cells charge from the network, whether the cut-out carries that, and "
        "whether the type-test entry of the inverter covers storage."
        if v["what"] == "cells"
        else ""
    )
    return (
        f"{v['what'].capitalize()} are added behind {v['unit']}, whose capacity does not change; "
        f"{told}.{asked}",
        "The inverter's rating is counted, so the procedure's sums stay as they are.",
    )


DC_SIDE_CHANGE = Kind(
    "dc-side-change",
    "decide",
    "Are panels or cells added behind an inverter that stays?",
    _dc_side_words,
)


def dc_side_change(case: Case) -> Iterator[Found]:
    """Panels or cells added behind an unchanged inverter."""
    units = {unit.id: (i, unit) for i, unit in enumerate(case.site.units)}
    for path in dc_side_changes(case.site):
        part = _part_at(case, path)
        i, unit = units[part.unit_id]
        cells = isinstance(part, Storage)
        yield DC_SIDE_CHANGE.found(
            path,
            {
                "what": "cells" if cells else "panels",
                "unit": part.unit_id,
                "alone": case.setting.dc_side_only,
            },
            read=(
                (f"{path}.unit_id", part.unit_id),
                (f"{path}.status", part.status),
                *(
                    (
                        (f"{path}.charge_w", part.charge_w),
                        (f"{path}.charges_from_grid", part.charges_from_grid),
                        ("supply.cutout_a", case.site.supply.cutout_a),
                        (f"units[{i}].standards", unit.standards),
                    )
                    if isinstance(part, Storage)
                    else ()
                ),
            ),
        )


def _part_at(case: Case, path: str) -> Array | Storage:
    name, _, rest = path.partition("[")
    i = int(rest[:-1])
    return case.site.arrays[i] if name == "arrays" else case.site.storage[i]


DC_SIDE_CAPACITY = Kind(
    "dc-side-capacity",
    "decide",
    "Do more panels raise a registered capacity that the panels held down until now?",
    lambda v: (
        f"The panels behind {v['unit']} go from {kilowatts(v['before_w'], 'kWp')} to "
        f"{kilowatts(v['after_w'], 'kWp')}; its registered capacity may rise from "
        f"{kilowatts(v['before_w'])} to {kilowatts(min(v['after_w'], v['rated_w']))}.",
        f"Registered capacity is the lesser of the inverters' {kilowatts(v['rated_w'])} and the "
        "panels'. Ask which figure the network operator holds.",
    ),
)


def dc_side_capacity(case: Case) -> Iterator[Found]:
    """Panels added where the array was smaller than its inverter, and held its capacity down."""
    for line in case.lines:
        if not line.existing or line.rated[0] != line.rated[1] or line.unit.source != "pv":
            continue
        arrays = [
            (i, array, part_status(array.status, line.unit))
            for i, array in enumerate(case.site.arrays)
            if array.unit_id == line.unit.id
        ]
        before = [rating(array.peak_w) for _, array, status in arrays if status != "proposed"]
        after = [rating(array.peak_w) for _, array, status in arrays if status != "removed"]
        if not before or None in before or None in after:
            continue
        rated_w = line.rated[0] * line.quantity[0]
        before_w, after_w = (sum(each or 0 for each in peaks) for peaks in (before, after))
        if before_w < min(after_w, rated_w):
            yield DC_SIDE_CAPACITY.found(
                line.unit.id,
                {
                    "unit": line.unit.id,
                    "before_w": before_w,
                    "after_w": after_w,
                    "rated_w": rated_w,
                },
                read=(
                    *((f"arrays[{i}].peak_w", array.peak_w) for i, array, _ in arrays),
                    *((f"arrays[{i}].status", array.status) for i, array, _ in arrays),
                    (f"units[{line.index}].rated_w", line.unit.rated_w),
                    (f"units[{line.index}].quantity", line.unit.quantity),
                ),
            )


ARRAY_SMALLER = Kind(
    "array-smaller",
    "inform",
    "Do the panels make less than their inverter, which still counts in full?",
    lambda v: (
        f"The panels behind {v['unit']} make at most {kilowatts(v['peak_w'], 'kWp')}, less than "
        f"the inverters' {kilowatts(v['rated_w'])}; the inverters' rating counts.",
        "The lesser figure is for information.",
    ),
)


def smaller_array(case: Case) -> Iterator[Found]:
    """Panels with less peak power than their inverter's rating: the rating counts."""
    if not case.site.arrays or not case.capacity_known:
        return
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
        if line.unit.source == "pv" and peak and peak < whole:
            yield ARRAY_SMALLER.found(
                line.unit.id,
                {"unit": line.unit.id, "peak_w": peak, "rated_w": whole},
                read=(
                    *paths[line.unit.id],
                    (f"units[{line.index}].rated_w", line.unit.rated_w),
                ),
            )


DOES_NOT_EXPORT = Kind(
    "does-not-export",
    "inform",
    "Are cells said not to export, though their inverter still counts in full?",
    lambda v: (
        f"The cells behind {v['unit']} are said not to export; its rating still counts in full.",
        "Only an export limit changes the export figure.",
    ),
)


def does_not_export(case: Case) -> Iterator[Found]:
    """Cells said not to export: their inverter still counts in full."""
    for i, cells in enumerate(case.site.storage):
        line = next((line for line in case.lines if line.unit.id == cells.unit_id), None)
        if cells.exports is False and line is not None:
            yield DOES_NOT_EXPORT.found(
                f"storage[{i}]",
                {"unit": cells.unit_id},
                read=((f"storage[{i}].exports", False),),
            )


STORAGE_OUTSIDE_MODULE = Kind(
    "storage-outside-module",
    "inform",
    "Is storage old enough to count in the facility and not in the module?",
    lambda v: (
        f"{v['unit']} is storage with its own inverter commissioned before {dated(v['before'])}: "
        "it counts in the facility's total, not in the module.",
        "Its capacity is left out of the size class only.",
    ),
)


def outside_module(case: Case) -> Iterator[Found]:
    """Storage commissioned before the date up to which it stays out of the module."""
    for line in case.lines:
        before = case.ready.storage_before
        if line.separate_storage and before is not None:
            yield STORAGE_OUTSIDE_MODULE.found(
                line.unit.id,
                {"unit": line.unit.id, "before": before.isoformat()},
                keys=("storage.separate_before",),
                read=((f"units[{line.index}].commissioned_on", line.unit.commissioned_on),),
            )


STORAGE_REQUIREMENTS = Kind(
    "storage-requirements",
    "inform",
    "Is storage planned from the day on that the requirements for storage bind?",
    lambda v: (
        f"{v['unit']} is storage planned for {dated(v['day'])}; from {dated(v['since'])} on, the "
        "requirements for storage of EREC G99 Issue 2 bind. Ask its maker whether the type test "
        "covers them.",
        "Whether they reach plant of micro-generation size was not found.",
    ),
)


def storage_requirements(case: Case) -> Iterator[Found]:
    """New storage from the day on that Issue 2's requirements for it bind."""
    key, site = "storage.requirements_from", case.site
    if key not in case.ready.book.values:
        return
    since = case.ready.book.date(key)
    behind = {
        cells.unit_id: (f"storage[{i}].unit_id", cells.unit_id)
        for i, cells in enumerate(site.storage)
        if cells.status != "removed"
    }
    for line in case.lines:
        unit, path = line.unit, f"units[{line.index}]"
        stores = unit.source in ("storage", "pv+storage") or unit.id in behind
        if line.existing or not stores:
            continue
        day = known(unit.planned_on) or known(site.planned_on) or site.on_date
        if day < since:
            continue
        yield STORAGE_REQUIREMENTS.found(
            unit.id,
            {"unit": unit.id, "day": day.isoformat(), "since": since.isoformat()},
            keys=(key,),
            read=(
                (f"{path}.source", unit.source),
                (f"{path}.planned_on", known(unit.planned_on)),
                ("planned_on", known(site.planned_on)),
                *((behind[unit.id],) if unit.id in behind else ()),
            ),
        )


MODULE_REPLACED = Kind(
    "module-replaced",
    "decide",
    "Is so much of older plant replaced that the rest meets the current edition too?",
    lambda v: (
        f"{kilowatts(v['gone_w'])} of {kilowatts(v['whole_w'])} of the older plant is replaced; "
        f"from {v['share']} % on, what stays meets the current edition too.",
        f"{v['gone_w']} x 100 / {v['whole_w']} is about {v['gone_w'] * 100 // v['whole_w']} %. "
        "Each new unit must meet the current edition in any case (EREC G99, A.6).",
    ),
)


def module_replaced(case: Case) -> Iterator[Found]:
    """Most of an older module is replaced, and some of it stays."""
    key, before = "replacement.module_share", case.ready.earlier_before
    if key not in case.ready.book.values or before is None:
        return
    gone_w = whole_w = stays_w = 0
    read: list[Read] = []
    for i, unit in enumerate(case.site.units):
        status, day = status_of(unit), first_day(unit.commissioned_on)
        if status == "proposed" or mode_of(unit) == "switched" or (day and day >= before):
            continue
        watts = (registered_w(unit) or 0) * (quantity_of(unit) or 0)
        whole_w += watts
        gone_w += watts if status == "removed" else 0
        stays_w += watts if status == "existing" else 0
        read += [
            (f"units[{i}].{name}", getattr(unit, name))
            for name in ("status", "rated_w", "quantity", "commissioned_on")
        ]
    replaced = any(not line.existing for line in case.lines)
    share = case.ready.book.whole(key)
    if replaced and stays_w and gone_w * 100 >= share * whole_w:
        yield MODULE_REPLACED.found(
            "site",
            {"gone_w": gone_w, "whole_w": whole_w, "share": share},
            keys=(key,),
            read=tuple(read),
        )


def _panels_disagree_words(v: Values) -> Words:
    if v["what"] == "strings":
        return (
            f"The strings behind {v['unit']} have {v['counted']} panels, and {v['stated']} are "
            "stated; put one of the two right.",
            f"Panels in series times strings in parallel, added up: {v['sum']} = {v['counted']}.",
        )
    return (
        f"The panels behind {v['unit']} make {kilowatts(v['counted'], 'kWp')} one by one, and "
        f"{kilowatts(v['stated'], 'kWp')} is stated; put one of the two right.",
        f"{v['sum']} Wp = {kilowatts(v['counted'], 'kWp')}.",
    )


PANELS_DISAGREE = Kind(
    "panels-disagree",
    "decide",
    "Do strings, number and peak power of panels contradict each other?",
    _panels_disagree_words,
    also={"inform": "where nobody changes the panels"},
)


def panels_disagree(case: Case) -> Iterator[Found]:
    """Strings that hold another number of panels than stated, or panels of another peak power.

    On panels that nobody changes it informs: no procedure rests on their number.
    """
    units = {unit.id: unit for unit in case.site.units}
    for i, array in enumerate(case.site.arrays):
        unit = units.get(array.unit_id)
        if part_status(array.status, unit) == "removed":
            continue
        for what, terms, stated, names in _counts(array):
            counted = sum(a * b for a, b in terms)
            if counted == stated:
                continue
            stays = unit is not None and case.site.units.index(unit) in unchanged(case.site)
            yield PANELS_DISAGREE.found(
                f"arrays[{i}]/{what}",
                {
                    "unit": array.unit_id,
                    "what": what,
                    "counted": counted,
                    "stated": stated,
                    "sum": " + ".join(f"{a} x {b}" for a, b in terms),
                },
                severity="inform" if stays else None,
                read=tuple((f"arrays[{i}].{name}", attrgetter(name)(array)) for name in names),
            )


def _counts(
    array: Array,
) -> Iterator[tuple[str, list[tuple[int, int]], int, tuple[str, ...]]]:
    """What can be counted in two ways: its name, products to add up, stated number, paths."""
    panels, peak = rating(array.panels), rating(array.peak_w)
    if isinstance(array.strings, tuple) and array.strings and panels:
        strings = [
            (each.in_series, each.in_parallel)
            for each in array.strings
            if isinstance(each.in_series, int) and isinstance(each.in_parallel, int)
        ]
        if len(strings) == len(array.strings):
            yield "strings", strings, panels, ("strings", "panels")
    one = rating(array.panel.peak_w) if isinstance(array.panel, Panel) else None
    if one and panels and peak:
        yield "peak", [(panels, one)], peak, ("panel.peak_w", "panels", "peak_w")


QUESTIONS = (
    behind_nothing,
    dc_side_change,
    dc_side_capacity,
    storage_requirements,
    module_replaced,
    outside_module,
    smaller_array,
    panels_disagree,
    does_not_export,
)
