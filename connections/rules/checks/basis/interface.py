"""Interface protection: the settings required of a unit, and those read on it."""

from collections.abc import Sequence

from connections.facts.defaults import (
    certificates_of,
    mode_of,
    rating,
    status_of,
    voltage_level,
)
from connections.facts.site import ProtectionSetting, Site, Unit
from connections.rulebook.book import Setting, SettingTable
from connections.rules.checks.basis.plant import Output
from connections.rules.checks.basis.working import Ground, Working, shown
from connections.rules.plant import base_of, standard_of

EARLIER = ("G83", "G59")
"""Standards before 27 April 2019; their plant keeps its settings."""


def table_for(ground: Ground, output: Output) -> SettingTable | None:
    """The table of settings required of a unit; None for plant of an earlier standard."""
    return settings_table(ground.site, output.unit, ground.ready.book.settings)


def settings_table(site: Site, unit: Unit, tables: Sequence[SettingTable]) -> SettingTable | None:
    """The table for a unit by its standard, the supply's voltage level and its operating mode.

    None for existing plant of an earlier standard, for a unit without a standard, and if there is
    no table.
    """
    standard = standard_of(unit)
    if standard is None or keeps_settings(unit):
        return None
    wanted = (voltage_level(site), mode_of(unit))
    for name in dict.fromkeys((standard, base_of(standard))):
        for table in tables:
            if (table.standard, table.voltage_level, table.operating_mode) == (name, *wanted):
                return table
    return None


def keeps_settings(unit: Unit) -> bool:
    """Whether a unit is existing plant of an earlier standard, which keeps its settings."""
    return status_of(unit) == "existing" and standard_of(unit) in EARLIER


def readings_of(ground: Ground, output: Output) -> list[tuple[str, ProtectionSetting]]:
    """The settings read on a unit, each with its site-file path."""
    return [
        (f"protection[{i}].settings[{n}]", setting)
        for i, device in enumerate(ground.site.protection)
        if device.serves == output.unit.id
        for n, setting in enumerate(device.settings)
    ]


def same_function(setting: Setting, reading: ProtectionSetting) -> bool:
    """Whether a reading has this function and stage; without a stage it counts as the first."""
    stage = reading.stage if isinstance(reading.stage, int) and reading.stage else 1
    names = setting.function.casefold(), reading.function.casefold()
    return stage == (setting.stage or 1) and _folded(names[0]) == _folded(names[1])


def read_standard(w: Working, output: Output) -> None:
    """Record the facts that settle which settings a unit needs."""
    unit = output.unit
    names = ["standards", "status"]
    if any(rating(one.rated_w) for one in certificates_of(unit)):
        names.append("rated_w")
    w.read(tuple((f"{output.path}.{name}", getattr(unit, name)) for name in names))


def _folded(name: str) -> str:
    return "".join(letter for letter in name if letter.isalnum())


def overvoltage_of(w: Working, output: Output) -> int | None:
    """The first over-voltage trip of a unit [mV, phase to neutral], recorded as an input."""
    unit = output.unit
    read_standard(w, output)
    table = table_for(w.ground, output)
    read = [
        (path, setting)
        for path, setting in readings_of(w.ground, output)
        if _folded(setting.function.casefold()) == "overvoltage" and setting.unit == "mV"
    ]
    if read:
        path, lowest = min(read, key=lambda entry: entry[1].value)
        words = shown(lowest.value, "mV") + ", as read on the unit"
        w.fact("over-voltage trip", f"{path}.value", lowest.value, words)
        return lowest.value
    if table is not None:
        stages = [s for s in table.settings if s.function == "overvoltage" and s.unit == "mV"]
        if stages:
            first = min(stages, key=lambda s: s.amount)
            w.computed("over-voltage trip", f"{first.written}, {table.says}")
            return first.amount
    if standard_of(unit) is None:
        w.need(f"the standard of {unit.id}", f"{output.path}.standards[0].standard")
    else:
        w.need(f"the over-voltage trip read on {unit.id}", "protection")
    return None
