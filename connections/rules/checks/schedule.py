"""The protection schedule: devices that the facts call for, settings beside readings, labels.

Facts without any device mean that the schedule itself is missing, not a device. Otherwise each
missing device is named. Existing plant is checked only if the schedule names a device of it.
"""

import datetime as dt
from collections.abc import Iterator

from connections.facts.defaults import clamps_at_supply, known, load_kind, rating
from connections.facts.devices import (
    ISLAND_WORDS,
    MAIN_NAMES,
    ORIGIN_NAMES,
    device_kind,
    on_dc_side,
    plain,
)
from connections.facts.site import Limit, Protection
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.interface import (
    read_standard,
    readings_of,
    same_function,
    table_for,
)
from connections.rules.checks.basis.plant import Output, cells_behind, outputs_of
from connections.rules.checks.basis.types import Check, CheckKind
from connections.rules.checks.basis.working import GATHERED, Ground, Working, shown
from connections.rules.checks.circuit import OVERCURRENT
from connections.rules.deciding_facts import limit_of
from connections.rules.kinds import Read

RESIDUAL = ("rcd", "rcbo")
_ELECTRODE = "an earth electrode of the installation"
_ISLAND: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "an isolator for island operation that breaks all live poles",
        ISLAND_WORDS["changeover"],
    ),
    ("a relay that bonds neutral and earth in island operation alone", ISLAND_WORDS["relay"]),
    (_ELECTRODE, ISLAND_WORDS["electrode"]),
)
"""Devices that plant with island operation needs, and words of the schedule that show them."""

CAUTIONS_ISLAND = (
    "The fault current of an island is low: over-current devices may not clear; rely on residual "
    "current or electronic trips, and verify disconnection.",
    "The bond of neutral and earth is interlocked with the isolator: never made while the network "
    "is connected.",
    "Changeover is break before make.",
    "A TN installation may not rely on the distributor's earth while it is an island (BS 7671 "
    "551.4.3.2.1, read in its opening; the rest secondary).",
)


SCHEDULE = failing(
    "schedule",
    "protection",
    "Does the protection schedule lack a device that the facts call for?",
)


def checks(ground: Ground) -> Iterator[Check]:
    """Check the whole schedule."""
    outputs = outputs_of(ground)
    if not outputs:
        return
    for output in outputs:
        yield settings(ground, output)
    if not ground.site.protection:
        w = Working(ground, SCHEDULE, "site", "Devices that the facts call for")
        w.need("the protection schedule", "protection")
        yield w.missing()
    else:
        named = {entry.serves for entry in ground.site.protection}
        for output in outputs:
            if not output.line.existing or output.unit.id in named:
                yield from _devices(ground, output)
        yield from _charge_points(ground)
        yield from _residual(ground, outputs)
    yield from _scheme(ground)
    yield from _labels(ground, outputs)


SETTINGS = failing(
    "settings",
    "protection",
    "Do settings read on a unit differ from the edition's?",
)


def settings(ground: Ground, output: Output) -> Check:
    """Compare the required settings of a unit with those read on it."""
    unit = output.unit
    w = Working(
        ground, SETTINGS, unit.id, "Interface protection settings",
        "each reading equals the setting of the edition for the unit's standard",
    )  # fmt: skip
    read_standard(w, output)
    table = table_for(ground, output)
    readings = readings_of(ground, output)
    for path, reading in readings:
        w.read(((path, [reading.function, reading.value, reading.unit, known(reading.delay_ms)]),))
    if table is None:
        w.line("No table of this edition holds for the unit; what was read is the record.")
        for _, reading in readings:
            w.line(f"{reading.function}: read {shown(reading.value, reading.unit)}")
        return w.listed()
    w.computed("table", table.says)
    different: list[str] = []
    for setting in table.settings:
        name = f"{setting.function} {setting.stage}" if setting.stage else setting.function
        wanted = setting.written
        if setting.delay_ms is not None:
            wanted += f" after {shown(setting.delay_ms, 'ms')}"
        read = [r for _, r in readings if same_function(setting, r)]
        for one in read:
            delay = known(one.delay_ms)
            said = shown(one.value, one.unit)
            said += f" after {shown(delay, 'ms')}" if delay is not None else ""
            w.line(f"{name}: {wanted}; read {said}")
            late = delay is not None and setting.delay_ms is not None and delay != setting.delay_ms
            if (one.value, one.unit) != (setting.amount, setting.unit) or late:
                different.append(f"{name} is {said}, not {wanted}")
        if not read:
            w.line(f"{name}: {wanted}; not read yet")
    if different:
        return w.lacks(f"settings read on {unit.id} differ: {'; '.join(different)}")
    return w.there() if readings else w.listed()


def _devices(ground: Ground, output: Output) -> Iterator[Check]:
    unit = output.unit
    kinds = [
        (i, entry, device_kind(entry))
        for i, entry in enumerate(ground.site.protection)
        if entry.serves == unit.id and not on_dc_side(entry)
    ]
    breakers = [i for i, _, kind in kinds if kind in OVERCURRENT]
    yield _called(ground, unit.id, "an over-current device", breakers)
    isolators = [
        i for i, entry, kind in kinds if kind == "isolator" or "isolator" in plain(entry.kind)
    ]
    yield _called(ground, unit.id, "an isolator on the AC side", isolators)
    if known(ground.site.supply.earthing) == "TT":
        residual = [
            i
            for i, entry in enumerate(ground.site.protection)
            if device_kind(entry) in RESIDUAL and feeds(entry, output)
        ]
        because = ("supply.earthing", "TT")
        yield _called(ground, unit.id, "a residual-current device", residual, because)
    if unit.can_island is True:
        tt = known(ground.site.supply.earthing) == "TT"
        for what, words in _ISLAND:
            if tt and what == _ELECTRODE:
                continue  # a TT installation has its own electrode anyway
            found = [
                i
                for i, entry in enumerate(ground.site.protection)
                if any(word in plain(entry.kind) for word in words)
            ]
            yield _called(ground, unit.id, what, found, (f"{output.path}.can_island", True))


def feeds(entry: Protection, output: Output) -> bool:
    """Whether a device protects a unit: at the unit, at its board, or at the origin."""
    serves = known(entry.serves)
    if serves is None:
        return True
    board = plain(known(output.unit.feeds_from) or "main")
    said = plain(serves)
    return serves == output.unit.id or said == board or said in MAIN_NAMES | ORIGIN_NAMES


def named_devices(ground: Ground) -> tuple[Read, ...]:
    """What each device of the schedule is, and what it serves."""
    return tuple(
        (f"protection[{i}].{name}", getattr(entry, name))
        for i, entry in enumerate(ground.site.protection)
        for name in ("kind", "serves")
    )


def _called(
    ground: Ground, of: str, what: str, found: list[int], because: tuple[str, object] | None = None
) -> Check:
    w = Working(
        ground, SCHEDULE, f"{of}: {what}", "Device that the facts call for",
        "the schedule names it",
    )  # fmt: skip
    if because is not None:
        w.read((because,))
    w.read(ground.once(named_devices))
    for i in found:
        entry = ground.site.protection[i]
        rated = rating(entry.rating_a)
        words = f"{entry.kind}, {rated} A" if rated else entry.kind
        w.fact("device", f"protection[{i}].kind", entry.kind, words)
    if found:
        return w.there()
    w.line(f"Called for since {because[0]} is {because[1]}." if because else "Called for always.")
    return w.lacks(f"the schedule lacks {what} for {of}")


def _charge_points(ground: Ground) -> Iterator[Check]:
    loads = ground.loads
    for load in loads.items if loads is not None else ():
        if load_kind(load) != "vehicle":
            continue
        found = [
            i
            for i, entry in enumerate(ground.site.protection)
            if device_kind(entry) in RESIDUAL
            and plain(known(entry.serves) or "") == plain(load.name)
        ]
        w = Working(ground, GATHERED, "", "")
        if w.flag("schedule.vehicle_rcd"):
            yield _called(ground, load.name, "a residual-current device of its own", found)


RESIDUAL_DEVICE = failing(
    "schedule-rcd",
    "protection",
    "Is a residual-current device of a barred type, or for one direction alone?",
)


def _residual(ground: Ground, outputs: list[Output]) -> Iterator[Check]:
    """Check type and direction of every residual-current device on the circuit of a unit."""
    units = {output.unit.id for output in outputs}
    for i, entry in enumerate(ground.site.protection):
        if device_kind(entry) not in RESIDUAL or known(entry.serves) not in units:
            continue
        path = f"protection[{i}]"
        w = Working(
            ground, RESIDUAL_DEVICE, f"{entry.kind} of {entry.serves}",
            "Residual-current device on the circuit of an inverter",
            "its type is none that is barred, and it works in both directions",
        )  # fmt: skip
        w.read(((f"{path}.kind", entry.kind), (f"{path}.serves", entry.serves)))
        barred = w.words("schedule.rcd_barred")
        type_, direction = known(entry.rcd_type), known(entry.direction)
        if not type_:
            w.need(f"the type of the {entry.kind} of {entry.serves}", f"{path}.rcd_type", type_)
        else:
            w.fact("type", f"{path}.rcd_type", type_, type_)
        if not direction:
            words = f"whether the {entry.kind} of {entry.serves} works in both directions"
            w.need(words, f"{path}.direction", direction)
        else:
            w.fact("direction", f"{path}.direction", direction, direction)
        w.line(
            "Type B unless there is simple separation or the maker declares that type A or F is "
            "enough (BS 7671 712.411.3.2.1.2, from memory)."
        )
        if type_ and plain(type_).upper().removeprefix("TYPE ").strip() in barred:
            yield w.lacks(f"the {entry.kind} of {entry.serves} is of type {type_}")
        elif direction and _one_way(direction) and w.flag("schedule.one_way_barred"):
            yield w.lacks(
                f"the {entry.kind} of {entry.serves} works in one direction alone, and the "
                "current may flow both ways"
            )
        else:
            yield w.missing() if w.needs else w.there()


def _one_way(direction: str) -> bool:
    said = plain(direction)
    return said.startswith(("one", "uni")) and not said.startswith("universal")


SCHEME = failing(
    "limitation-scheme",
    "protection",
    "Is a limitation scheme not fail-safe, or not stated in full?",
)


def _scheme(ground: Ground) -> Iterator[Check]:
    """Check that a limitation scheme is fail-safe and stated in full."""
    for which in ("export", "import"):
        limit = limit_of(ground.site, which)
        if limit is None:
            continue
        w = Working(
            ground, SCHEME, f"{which} limit", "Limitation scheme",
            "stated in full: response, what follows a fault of its own, where it measures",
        )  # fmt: skip
        for name, words in (
            ("response_ms", "response time"),
            ("fail_safe", "whether it keeps the limit when a part or a link is lost"),
            ("measured_at", "where it measures"),
            ("ct_position", "position of its current transformers"),
        ):
            value = getattr(limit, name)
            path = f"limits.{which}.{name}"
            clamps = clamps_at_supply(ground.site, which) if name == "ct_position" else []
            if clamps and known(value) in (None, ""):
                place, clamp = clamps[0]
                w.fact(words, f"clamps[{place}].place", clamp.place, f"at the supply ({clamp.id})")
                w.read(((f"clamps[{place}].serves", clamp.serves), (path, value)))
            elif known(value) in (None, ""):
                w.need(f"{words} of the {which} limitation scheme", path, value)
            elif name == "response_ms":
                w.fact(words, path, value, shown(value, "ms"))
            else:
                yes_no = {True: "yes", False: "no"}
                w.fact(words, path, value, yes_no[value] if isinstance(value, bool) else value)
        if ground.held("limitation.fail_safe") is not None:
            w.line(f"It may lose these: {', '.join(w.words('limitation.fail_safe'))}.")
        longest = _longest_response(w, which, limit)
        response = known(limit.response_ms)
        if limit.fail_safe is False:
            yield w.lacks(
                f"the {which} limitation scheme does not fall back to its limit when a part or a "
                "link is lost"
            )
        elif response is not None and longest is not None and response > longest:
            w.line("Read in operators' guidance; EREC G100 itself was not read.")
            yield w.lacks(
                f"the {which} limitation scheme comes back within its limit in "
                f"{shown(response, 'ms')}, and {shown(longest, 'ms')} is the longest"
            )
        else:
            yield w.missing() if w.needs else w.there()


def _longest_response(w: Working, which: str, limit: Limit) -> int | None:
    """The longest response [ms]: that of EREC G100 Issue 1 for a scheme proved before Issue 2;
    None if the rulebook holds none."""
    proved, since = known(limit.commissioned_on), w.ground.held("limitation.from")
    earlier = since and proved and isinstance(since.amount, dt.date) and proved < since.amount
    w.read(((f"limits.{which}.commissioned_on", proved),))
    keys = ["limitation.earlier_response"] if earlier else []
    held = (key for key in (*keys, "limitation.response_limit") if w.ground.held(key) is not None)
    found = next(held, None)
    return None if found is None else w.limit(found, "longest response")


LABELS = CheckKind("labels", "protection")


ISLAND = CheckKind("island-earthing", "protection")


def _labels(ground: Ground, outputs: list[Output]) -> Iterator[Check]:
    """List the labels of the installation, and the cautions of island operation."""
    w = Working(ground, LABELS, "site", "Labels", "what the facts call for")
    keys = ["schedule.labels"]
    panels = any(a.unit_id == o.unit.id for o in outputs for a in ground.site.arrays)
    if panels or any(o.unit.source in ("pv", "pv+storage") for o in outputs):
        keys.append("schedule.labels_panels")
    if any(cells_behind(ground, o.unit) or o.unit.source == "storage" for o in outputs):
        keys.append("schedule.labels_cells")
    island = any(o.unit.can_island is True for o in outputs)
    if island:
        keys.append("schedule.labels_island")
    for o in outputs:
        w.read(((f"{o.path}.source", o.unit.source), (f"{o.path}.can_island", o.unit.can_island)))
    for key in keys:
        for label in w.words(key):
            w.line(label)
    yield w.missing() if w.needs else w.listed()
    if island:
        w = Working(ground, ISLAND, "site", "Earthing and protection as an island")
        for o in outputs:
            if o.unit.can_island is True:
                w.fact(f"{o.unit.id} can island", f"{o.path}.can_island", True, "yes")
        earthing = known(ground.site.supply.earthing)
        w.fact("earthing of the supply", "supply.earthing", earthing, earthing or "not known")
        w.limit("fault.electrode_limit", "earth electrode, at most")
        for line in CAUTIONS_ISLAND:
            w.line(line)
        yield w.listed()
