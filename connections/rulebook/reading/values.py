"""Read values with their dated amounts from TOML."""

import re
from collections.abc import Iterable
from datetime import date

from connections.rulebook.book import Certainty, Source
from connections.rulebook.reading.amounts import amount_of
from connections.rulebook.reading.entry import Entry
from connections.rulebook.reading.references import Register, certainty_of, note_of, source_of
from connections.rulebook.schema import UNITS, DatedValue, Kind, Spell

_KEY = re.compile(r"[a-z0-9_-]+(\.[a-z0-9_-]+)+")


def read_value(entry: Entry, first: date, register: Register, kind: Kind) -> DatedValue:
    """Read one value; without its own dates it holds from `first` on."""
    key = entry.text("key")
    if not _KEY.fullmatch(key):
        entry.refuse('`key` must be lower case with a dot, such as "g98.unit_limit"')
    unit = entry.choice("unit", UNITS)
    says = entry.sentence("says")
    applies_to = entry.text("applies_to")
    checked = entry.day("checked")
    source = source_of(entry, register)
    certainty = certainty_of(entry, local=kind == "local")
    note = note_of(entry)
    reference = kind != "local" and entry.flag("reference", False)
    if entry.has("value") == entry.has("values"):
        entry.refuse("give either `value` or `values`")
    if entry.has("value"):
        amount, written = amount_of(entry, key, unit)
        spells: tuple[Spell, ...] = (Spell(first, None, amount, written, source, certainty, note),)
    else:
        spells = tuple(_spells(entry, key, unit, source, certainty, note, register, kind))
    entry.done()
    return DatedValue(key, says, unit, applies_to, checked, spells, entry.file, reference)


def _spells(
    entry: Entry,
    key: str,
    unit: str,
    source: Source,
    certainty: Certainty,
    note: str,
    register: Register,
    kind: Kind,
) -> Iterable[Spell]:
    before: Spell | None = None
    for line in entry.entries("values"):
        since = line.day("from")
        amount, written = amount_of(line, key, unit)
        spell = Spell(
            since=since,
            until=line.last_day("until", since),
            amount=amount,
            written=written,
            source=source_of(line, register) if line.has("source") else source,
            certainty=certainty_of(line, local=kind == "local")
            if line.has("certainty")
            else certainty,
            note=note_of(line) if line.has("note") else note,
            says=line.sentence("says") if line.has("says") else "",
            applies_to=line.text("applies_to", ""),
            checked=line.day("checked") if line.has("checked") else None,
        )
        line.done()
        if before and since <= before.since:
            line.refuse(f"`from` {since} does not come after {before.since} of the one before")
        if before and before.until and since <= before.until:
            line.refuse(f"`from` {since} overlaps the one before, which holds until {before.until}")
        before = spell
        yield spell
