"""Read tables of interface protection settings from TOML."""

from connections.rulebook.book import Setting, SettingTable
from connections.rulebook.reading.amounts import quantity_in
from connections.rulebook.reading.entry import Entry
from connections.rulebook.reading.references import (
    Register,
    certainty_of,
    id_of,
    note_of,
    once,
    source_of,
)


def read_settings(entry: Entry, register: Register) -> SettingTable:
    """Read one table of settings; each function and stage is unique."""
    lines: dict[str, Setting] = {}
    for line in entry.entries("settings"):
        setting = _setting(line)
        once(lines, f"{setting.function} {setting.stage}", setting, line)
    table = SettingTable(
        id=id_of(entry, "id"),
        says=entry.sentence("says"),
        standard=entry.text("standard"),
        voltage_level=entry.choice("voltage_level", ("LV", "HV")),
        operating_mode=entry.choice(
            "operating_mode", ("long-term-parallel", "short-term-parallel", "switched")
        ),
        settings=tuple(lines.values()),
        source=source_of(entry, register),
        certainty=certainty_of(entry),
        checked=entry.day("checked"),
        note=note_of(entry),
    )
    entry.done()
    return table


def _setting(line: Entry) -> Setting:
    unit = line.choice("unit", ("mV", "%", "mHz", "mHz/s", "degrees"))
    amount, written = quantity_in(line, "value", unit)
    of_nominal = line.text("of_nominal", "")
    setting = Setting(
        function=line.text("function"),
        stage=line.number("stage"),
        amount=amount,
        unit=unit,
        delay_ms=quantity_in(line, "delay", "ms")[0] if line.has("delay") else None,
        written=f"{written} ({of_nominal})" if of_nominal else written,
    )
    line.done()
    return setting
