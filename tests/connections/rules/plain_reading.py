"""The Great Britain table once more, in plain fractions: a second reading to test the first by.

Written from EREC G99 Issue 2, 6.2.2.1 to 6.2.2.4, section 4 and A.4.2, and from what the format of
the site file says of how the table reads. It knows nothing of rulebooks, scaled sums or ranges, and
takes sites as plain data in which everything that decides is known.
"""

from collections.abc import Callable
from fractions import Fraction
from typing import Any

VOLTS = 230
MICRO = ("G98", "G98 plug-in")
BEFORE_G98 = "2019-04-27"
STORAGE_APART_BEFORE = "2022-09-01"


def outcome(content: dict[str, Any]) -> str:
    """The key of the procedure of a site file without unknown deciding facts."""
    units = [u for u in content["units"] if counted(u)]
    low_voltage = content["supply"].get("voltage_level", "LV") == "LV"
    phases = content["supply"]["phases"]
    sums = {
        phase: sum((capacity(u) * number(u) for u in units if phase in u["phases"]), Fraction(0))
        for phase in ("L1", "L2", "L3")
    }
    highest = max(sums.values())
    rated = max((capacity(u) for u in units), default=Fraction(0))
    design = max((per_phase(designed(u), u) for u in units), default=Fraction(0))
    total = sum(u["rated_w"] * number(u) for u in units)
    limit = export_limit(content, phases)

    if not units:
        return "nothing-parallel"
    if low_voltage and plug_in(content, units) and highest <= 16:
        return "plug-in"
    if behind_what_stays(content):
        return "dc-side"
    if low_voltage:
        long_term = all(u.get("operating_mode", "long-term-parallel") == "long-term-parallel"
                        for u in units)  # fmt: skip
        stays = not any(u.get("can_island", False) for u in units)
        behind = {array["unit_id"] for array in content.get("arrays", [])}
        park = sum(designed(u) * number(u) for u in units if in_park(u, behind))
        modules = {u["id"]: park if in_park(u, behind) else designed(u) for u in units}

        def tested_as(good: Callable[[str, dict[str, Any]], bool]) -> bool:
            return all(
                modules[u["id"]] <= 50_000
                and any(full(c) and good(c["standard"], u) for c in certificates(content, u))
                for u in units
            )

        tested = tested_as(micro)
        if tested and long_term and stays and rated <= 16 and design <= 16 and highest <= 16:
            near = content.get("nearby", {}).get("premises", 0)
            return "g98-single" if near == 0 else "g98-several"
        inverters = all(u.get("kind", "inverter") == "inverter" for u in units)
        if inverters and long_term and tested_as(small) and design <= 32:
            if rated <= 16 and highest <= 16:
                return "sgi-1"
            if rated <= 16 and highest < 32 and limit is not None and limit <= 16:
                return "sgi-2"
            limited = (limit is not None and limit <= 32) or highest <= 32
            if rated <= 32 and highest < 60 and limited:
                return "sgi-3"
        if total < (50_000 if phases == 3 else 17_000):
            return "g99-short"
    module = largest_module(content, units)
    if module < 1_000_000:
        return "g99-full-a"
    return "g99-full-b" if module < 10_000_000 else "beyond"


def behind_what_stays(content: dict[str, Any]) -> bool:
    """Whether only panels or cells change, behind an inverter that is there and stays."""
    there = {u["id"] for u in content["units"] if u.get("status") == "existing"}
    parts = [*content.get("arrays", []), *content.get("storage", [])]
    return len(there) == len(content["units"]) and any(
        part["unit_id"] in there and part.get("status") == "proposed" for part in parts
    )


def kit(u: dict[str, Any]) -> bool:
    """Whether it is a plug-in kit, or may be one."""
    told = any(c.get("standard") == "G98 plug-in" for c in listed(u))
    return u.get("plugged_in", told) is not False


def plug_in(content: dict[str, Any], units: list[dict[str, Any]]) -> bool:
    """Whether the one proposed unit is a kit of panels alone, the only kit, and small enough."""
    new = [u for u in units if u.get("status", "proposed") == "proposed"]
    if len(new) != 1 or sum(number(u) for u in units if kit(u)) != 1:
        return False
    [one] = new
    cells = [s for s in content.get("storage", [])
             if s["unit_id"] == one["id"] and s.get("status") != "removed"]  # fmt: skip
    return bool(
        kit(one)
        and one["source"] == "pv"
        and not cells
        and one["rated_w"] <= 800
        and (one.get("rated_va") or 0) <= 800
    )


def counted(u: dict[str, Any]) -> bool:
    return u.get("status") != "removed" and u.get("operating_mode") != "switched" and number(u) > 0


def number(u: dict[str, Any]) -> int:
    return int(u.get("quantity", 1))


def per_phase(watts: int, u: dict[str, Any]) -> Fraction:
    """Amps on each phase of one unit."""
    return Fraction(watts, VOLTS * len(u["phases"]))


def designed(u: dict[str, Any]) -> int:
    return int(u.get("design_w", u["rated_w"]))


def capacity(u: dict[str, Any]) -> Fraction:
    return per_phase(u["rated_w"], u)


def certificates(content: dict[str, Any], u: dict[str, Any]) -> list[dict[str, Any]]:
    """Those for the rating of the unit that hold on its date; the old three facts are one."""
    if counts_as_tested(u):
        return [{"standard": "G98", "type_tested": "full"}]
    day = u.get("commissioned_on") or u.get("planned_on") or content["on_date"]
    return [
        c
        for c in listed(u)
        if (not c.get("rated_w") or c["rated_w"] == u["rated_w"])
        and day <= c.get("valid_until", "9999-12-31")
    ]


def listed(u: dict[str, Any]) -> list[dict[str, Any]]:
    alone = {"standard": u.get("standard"), "type_tested": u.get("type_tested")}
    found: list[dict[str, Any]] = u.get("standards", [alone])
    return found


def full(certificate: dict[str, Any]) -> bool:
    return bool(certificate["type_tested"] == "full")


def counts_as_tested(u: dict[str, Any]) -> bool:
    """Whether it is a kit of panels that is there: a fully type-tested micro-generator."""
    return kit(u) and u.get("status") == "existing" and u["source"] == "pv"


def early(u: dict[str, Any]) -> bool:
    return bool(u.get("status") == "existing" and u["commissioned_on"] < BEFORE_G98)


def micro(standard: str, u: dict[str, Any]) -> bool:
    return standard in MICRO or (standard == "G83" and early(u))


def small(standard: str, u: dict[str, Any]) -> bool:
    return standard in (*MICRO, "G99") or (standard in ("G83", "G59") and early(u))


def in_park(u: dict[str, Any], behind: set[str]) -> bool:
    """Whether it is in the one module of all units that are not synchronous."""
    return u.get("kind", "inverter") != "synchronous" and not apart(u, behind)


def export_limit(content: dict[str, Any], phases: int) -> Fraction | None:
    """Amps a phase of an export limit that counts; None without one."""
    stated = content.get("limits", {}).get("export")
    if not stated or stated.get("type_tested") is not True or stated["value"] is None:
        return None
    if stated["basis"] == "ma_per_phase":
        return Fraction(stated["value"], 1000)
    shared = phases if stated.get("nets_phases") is False else 1
    return Fraction(stated["value"], VOLTS * shared)


def apart(u: dict[str, Any], behind: set[str]) -> bool:
    """Whether it is storage that the date keeps out of the module; undated storage is in it."""
    return bool(
        u["source"] == "storage"
        and u["id"] not in behind
        and u.get("status") == "existing"
        and not u.get("undated")
        and u["commissioned_on"] < STORAGE_APART_BEFORE
    )


def largest_module(content: dict[str, Any], units: list[dict[str, Any]]) -> int:
    """Watts: each synchronous unit alone, all others together but for older storage."""
    behind = {array["unit_id"] for array in content.get("arrays", [])}
    park, largest = 0, 0
    for u in units:
        if u.get("kind", "inverter") == "synchronous":
            largest = max(largest, u["rated_w"])
        elif not apart(u, behind):
            park += u["rated_w"] * number(u)
    return max(largest, park)
