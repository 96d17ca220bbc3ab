"""Plug-in kits: which may not be connected as one, and what a kit that is there means."""

from collections.abc import Iterator

from connections.electrical.phase_sums import SCALE_PER_W, scaled_current, whole_milliamps
from connections.facts.defaults import (
    before,
    first_day,
    in_series,
    kit_known,
    part_status,
    rating,
    voltage_level,
)
from connections.facts.site import Array
from connections.rulebook.telling import dated
from connections.rules.case import Case, read_units
from connections.rules.figures import amps, kilowatts, listed
from connections.rules.kinds import Found, Kind, Read, Values, Words
from connections.rules.plant import Line

ENABLED, FROM = "plug_in.enabled", "plug_in.from"
_WHY = {
    "too-early": "it would be connected before the rules that allow it",
    "elsewhere": "no rule here allows it",
    "high-voltage": "the supply is at high voltage",
    "two": "there would be more than one kit",
    "together": "other plant is proposed with it; propose the kit in a design of its own",
    "cells": "it has storage",
    "not-pv": "it does not run on panels",
    "too-large": "it is larger than a kit may be",
    "sum": "a phase would carry more than kits and wired plant may together; EREC G99 applies",
    "panels": "it has too many or too large panels",
    "strings": "too many of its panels are in series",
}
"""Why a kit may not be connected as one, in the order of telling."""
_KEYS = {
    "too-early": (FROM,),
    "two": ("plug_in.per_premises",),
    "cells": ("plug_in.storage",),
    "too-large": ("plug_in.unit_limit", "plug_in.apparent_limit", "plug_in.current_limit"),
    "sum": ("plug_in.sum_limit",),
    "panels": ("plug_in.panels_limit", "plug_in.panels_most"),
    "strings": ("plug_in.series_most",),
}
_OF_KIT = ("plugged_in", "standards", "source", "status", "quantity", "rated_w", "rated_va")


def _refused_words(v: Values) -> Words:
    return (
        f"{v['unit']} can't be connected as a plug-in kit: {'; '.join(_WHY[w] for w in v['why'])}.",
        "One kit of panels alone may be plugged in, beside wired plant within a sum. Anything else "
        "is wired and judged as such, or left out.",
    )


PLUG_IN_REFUSED = Kind(
    "plug-in-refused",
    "stops",
    "Is a plug-in kit proposed that may not be connected as one?",
    _refused_words,
)


def plug_in_refused(case: Case) -> Iterator[Found]:
    """A kit that is proposed, or gets panels or cells, and may not be one."""
    for line in case.lines:
        why = _why_not(case, line) if line.kit else []
        if why:
            keys = tuple(key for word in why for key in _KEYS.get(word, ()))
            yield PLUG_IN_REFUSED.found(
                line.unit.id,
                {"unit": line.unit.id, "why": [*why]},
                keys=tuple(key for key in keys if key in case.ready.book.values),
                read=(
                    *_read_kit(case, line),
                    *read_units(case, "status", "rated_w", "quantity", "phases"),
                ),
            )


def _why_not(case: Case, line: Line) -> list[str]:
    unit = line.unit
    arrays = _panels_of(case, line)
    cells = [
        part_status(cells.status, unit)
        for cells in case.site.storage
        if cells.unit_id == unit.id and part_status(cells.status, unit) != "removed"
    ]
    new_part = "proposed" in cells or any(
        part_status(array.status, unit) == "proposed" for _, array in arrays
    )
    if line.existing and not new_part:
        return []
    peak, number = _panels(arrays)
    series = max((in_series(array) or 0 for _, array in arrays), default=0)
    found = {
        "cells": bool(cells) or "storage" in unit.source or unit.source == "vehicle",
        "not-pv": unit.source in ("wind", "hydro", "chp", "other"),
        "panels": _over(case, "plug_in.panels_limit", peak)
        or _over(case, "plug_in.panels_most", number),
        "strings": _over(case, "plug_in.series_most", series),
    }
    if not line.existing:
        route = _route(case)
        kits = sum(each.quantity[0] for each in case.lines if each.kit)
        fullest = max(lowest for lowest, _ in case.sums.phases.values())
        found |= {
            route: bool(route),
            "high-voltage": voltage_level(case.site) != "LV",
            "two": _over(case, "plug_in.per_premises", kits),
            "together": any(not each.existing and not each.kit for each in case.lines),
            "too-large": _over(case, "plug_in.unit_limit", line.rated[0])
            or _over(case, "plug_in.apparent_limit", rating(unit.rated_va))
            or _over(case, "plug_in.current_limit", rating(unit.rated_ma)),
            "sum": "plug_in.sum_limit" in case.ready.book.values
            and fullest
            > scaled_current(case.ready.book.whole("plug_in.sum_limit"), case.ready.nominal_mv),
        }
    return [word for word in _WHY if found.get(word)]


def _route(case: Case) -> str:
    """Why there is no route for kits here; empty if there is."""
    book = case.ready.book
    if ENABLED in book.values and book.amount(ENABLED) is True:
        return ""
    early = FROM in book.values and case.site.on_date < book.date(FROM)
    return "too-early" if early else "elsewhere"


def _over(case: Case, key: str, amount: int | None) -> bool:
    """Whether an amount is known to be above the limit of this key."""
    return (
        amount is not None and key in case.ready.book.values and amount > case.ready.book.whole(key)
    )


def _panels_of(case: Case, line: Line) -> list[tuple[int, Array]]:
    """The panels behind a unit, once the work is done."""
    return [
        (i, array)
        for i, array in enumerate(case.site.arrays)
        if array.unit_id == line.unit.id and part_status(array.status, line.unit) != "removed"
    ]


def _panels(arrays: list[tuple[int, Array]]) -> tuple[int | None, int | None]:
    """Peak power [W] and number; each None if not known."""
    return (
        _all_of([rating(array.peak_w) for _, array in arrays]),
        _all_of([rating(array.panels) for _, array in arrays]),
    )


def _all_of(amounts: list[int | None]) -> int | None:
    there = [amount for amount in amounts if amount is not None]
    return sum(there) if there and len(there) == len(amounts) else None


def _read_kit(case: Case, line: Line) -> tuple[Read, ...]:
    """Read a kit with what sits behind it."""
    unit = line.unit
    return (
        *((f"units[{line.index}].{name}", getattr(unit, name)) for name in (*_OF_KIT, "rated_ma")),
        *(
            (f"arrays[{i}].{name}", getattr(array, name))
            for i, array in enumerate(case.site.arrays)
            if array.unit_id == unit.id
            for name in ("status", "peak_w", "panels", "strings")
        ),
        *(
            (f"storage[{i}].status", cells.status)
            for i, cells in enumerate(case.site.storage)
            if cells.unit_id == unit.id
        ),
    )


def _panels_words(v: Values) -> Words:
    if v["missing"]:
        return (
            f"Find out {listed(v['missing'])} of the panels of {v['unit']}: a kit has limits on "
            "them.",
            "Above the limits it may not be connected as a kit.",
        )
    return (
        f"The panels of {v['unit']} have {kilowatts(v['peak_w'], 'kWp')}: a professional looks at "
        "the wiring before it is plugged in.",
        f"That is asked above {kilowatts(v['limit_w'], 'kWp')}.",
    )


PLUG_IN_PANELS = Kind(
    "plug-in-panels",
    "decide",
    "Are the panels of a proposed plug-in kit not known, or so large that wiring is looked at?",
    _panels_words,
)


def plug_in_panels(case: Case) -> Iterator[Found]:
    """A proposed kit whose panels are not known, or ask for a look at the wiring."""
    key = "plug_in.panels_looked_at"
    if key not in case.ready.book.values:
        return
    for line in case.lines:
        arrays = _panels_of(case, line)
        new = not line.existing or any(array.status == "proposed" for _, array in arrays)
        if not line.kit or line.unit.source != "pv" or not new:
            continue
        peak, number = _panels(arrays)
        most = case.ready.book.whole("plug_in.series_most")
        missing = [
            words
            for words, amount in (("the peak power", peak), ("the number", number))
            if amount is None
        ]
        # As few panels as may be in series need no strings.
        if any(
            in_series(array) is None and (rating(array.panels) or most + 1) > most
            for _, array in arrays
        ):
            missing.append("the strings")
        if missing or _over(case, key, peak):
            yield PLUG_IN_PANELS.found(
                line.unit.id,
                {
                    "unit": line.unit.id,
                    "missing": missing,
                    "peak_w": peak,
                    "limit_w": case.ready.book.whole(key),
                },
                keys=(key, "plug_in.panels_limit"),
                read=_read_kit(case, line),
            )


PLUG_IN_NOT_KNOWN = Kind(
    "plug-in-not-known",
    "decide",
    "Is it not known whether a unit is a plug-in kit?",
    lambda v: (
        f"It is not known whether {v['unit']} is a plug-in kit; it is taken for one.",
        "A kit has a procedure and limits of its own.",
    ),
)


def plug_in_not_known(case: Case) -> Iterator[Found]:
    """A unit that may be a plug-in kit, and counts as one."""
    for line in case.lines:
        if not kit_known(line.unit):
            yield PLUG_IN_NOT_KNOWN.found(
                line.unit.id,
                {"unit": line.unit.id},
                read=((f"units[{line.index}].plugged_in", None),),
            )


PLUG_IN_BESIDE = Kind(
    "plug-in-beside",
    "decide",
    "Is wired plant proposed beside a plug-in kit that is there?",
    lambda v: (
        f"{v['unit']} is a plug-in kit and stays: it counts as a fully type-tested "
        f"micro-generator. At its own ceiling of {amps(v['ceiling_ma'])} the {amps(v['now_ma'])} "
        f"on {v['phase']} would be {amps(v['most_ma'])}.",
        f"Kits and wired plant keep to {amps(v['limit_ma'])} a phase together; above that EREC G99 "
        "applies to the wired plant.",
    ),
)


def plug_in_beside(case: Case) -> Iterator[Found]:
    """Wired plant proposed beside a kit that is there: with the kit's ceiling beside its rating."""
    book, nominal_mv = case.ready.book, case.ready.nominal_mv
    wired = any(not line.existing and not line.kit for line in case.lines)
    if not case.ready.kits or not wired:
        return
    ceiling_ma = book.whole("plug_in.current_limit")
    for line in case.lines:
        if not line.kit or not line.existing:
            continue
        phase = max(line.unit.phases, key=lambda each: case.sums.phases[each][0])
        now = case.sums.phases[phase][0]
        own = line.quantity[0] * line.rated[0] * SCALE_PER_W // line.phases
        most = now - own + line.quantity[0] * scaled_current(ceiling_ma, nominal_mv)
        yield PLUG_IN_BESIDE.found(
            line.unit.id,
            {
                "unit": line.unit.id,
                "phase": phase,
                "now_ma": whole_milliamps(now, nominal_mv) if case.capacity_known else None,
                "most_ma": whole_milliamps(most, nominal_mv) if case.capacity_known else None,
                "ceiling_ma": ceiling_ma,
                "limit_ma": book.whole("plug_in.sum_limit"),
            },
            keys=("plug_in.current_limit", "plug_in.sum_limit"),
            read=read_units(case, "status", "plugged_in", "rated_w", "quantity", "phases"),
        )


PLUG_IN_EARLY = Kind(
    "plug-in-early",
    "decide",
    "Was a plug-in kit that is there connected before the rules that allow it, or perhaps so?",
    lambda v: (
        f"{v['unit']} was plugged in before {dated(v['from'])}, the first day on which rules "
        "allow it.",
        "Settle with the network operator what the kit counts as.",
    ),
)


def plug_in_early(case: Case) -> Iterator[Found]:
    """A kit that is there, commissioned before the rules allow it."""
    if FROM not in case.ready.book.values:
        return
    day = case.ready.book.date(FROM)
    for line in case.lines:
        when = line.unit.commissioned_on
        if line.kit and line.existing and first_day(when) and before(when, day) is not False:
            yield PLUG_IN_EARLY.found(
                line.unit.id,
                {"unit": line.unit.id, "from": day.isoformat()},
                keys=(FROM,),
                read=(
                    (f"units[{line.index}].commissioned_on", when),
                    (f"units[{line.index}].plugged_in", line.unit.plugged_in),
                ),
            )


QUESTIONS = (
    plug_in_refused,
    plug_in_panels,
    plug_in_not_known,
    plug_in_beside,
    plug_in_early,
)
