"""Convert local entries to the TOML of a local file, and back.

    text = local_file(entries, area="gb-12", title="Local entries for Example")
    assert entries_in(text) == entries        # once `load.read_local` has read it

One entry is one amount of a value, one cap, or one extra condition, with its own days. This module
does not repeat the checks of `read_local`.
"""

import datetime as dt
import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any, Literal, TypeAlias

from msgspec import Struct

from connections.rulebook.schema import FORMAT

EntryKind: TypeAlias = Literal["value", "export-cap", "condition"]
Plain: TypeAlias = Mapping[str, Any]

LISTS: dict[EntryKind, str] = {
    "value": "value",
    "export-cap": "export_cap",
    "condition": "condition",
}
_NAMED: dict[EntryKind, str] = {"value": "key", "export-cap": "id", "condition": "id"}
# Fields in which a line may differ from its value.
_OF_A_LINE = ("says", "applies_to", "checked")
_OWN = ("from", "until", "source", "certainty", "note")


class Entry(Struct, frozen=True):
    """One entry of a local file.

    `about` is the key of a value, or the id of a cap or condition. `content` has the other keys of
    the file as plain data; dates in it are ISO text. `source` is the [[source]] of the file without
    its id, empty if `document` is in the register.
    """

    kind: EntryKind
    about: str
    content: Plain
    document: str
    source: Plain
    clause: str
    certainty: str
    note: str
    since: dt.date
    until: dt.date | None

    @property
    def ever_holds(self) -> bool:
        """Whether there is a day on which the entry holds."""
        return self.until is None or self.since <= self.until


def local_file(entries: Iterable[Entry], *, area: str, title: str, key: str = "") -> str:
    """Write the TOML of the entries of one area, or of the whole firm if `area` is empty.

    Leaves out entries that never hold. Names each source once. Two entries with different
    [[source]]s under one id cannot stand in one file; `read_local` reports that.
    """
    held = sorted((entry for entry in entries if entry.ever_holds), key=_order)
    lines = [
        "[book]",
        f"format = {_text(FORMAT)}",
        'kind = "local"',
        f"key = {_text(key or (f'firm-{area}' if area else 'firm'))}",
        f"title = {_text(title)}",
        f"from = {min((entry.since for entry in held), default=dt.date(2000, 1, 1))}",
    ]
    if area:
        lines.append(f"areas = [{_text(area)}]")
    sources: list[tuple[str, Plain]] = []
    for entry in held:
        if entry.source and (entry.document, entry.source) not in sources:
            sources.append((entry.document, entry.source))
    for document, source in sources:
        lines += ["", "[[source]]", f"id = {_text(document)}", *_pairs(source)]
    for (kind, about), alike in groupby(held, key=lambda entry: (entry.kind, entry.about)):
        same = list(alike)
        if kind == "value":
            lines += ["", *_value(about, same)]
        else:
            for entry in same:
                lines += ["", f"[[{LISTS[kind]}]]", *_whole(entry)]
    return "\n".join(lines) + "\n"


def entries_in(text: str) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """The entries and areas of a local file that `read_local` has read.

    An empty tuple of areas stands for the whole firm.
    """
    plain = tomllib.loads(text)
    head = plain["book"]
    sources = {
        source["id"]: {name: value for name, value in source.items() if name != "id"}
        for source in plain.get("source", ())
    }
    found: list[Entry] = []
    for kind, name in LISTS.items():
        for table in plain.get(name, ()):
            found += _entries_of(kind, table, head, sources)
    return tuple(sorted(found, key=_order)), tuple(head.get("areas", ()))


def _order(entry: Entry) -> tuple[int, str, dt.date]:
    return list(LISTS).index(entry.kind), entry.about, entry.since


def _entries_of(
    kind: EntryKind, table: Plain, head: Plain, sources: Mapping[str, Plain]
) -> Iterator[Entry]:
    named = _NAMED[kind]
    content = {
        name: _plain(value) for name, value in table.items() if name not in (*_OWN, named, "values")
    }
    lines: Sequence[Plain] = table.get("values", (table,))
    for line in lines:
        own: Plain = {} if line is table else line
        source = own.get("source", table["source"])
        more = {
            name: _plain(value) for name, value in own.items() if name in ("value", *_OF_A_LINE)
        }
        until = line.get("until") or (head.get("until") if line is table else None)
        yield Entry(
            kind=kind,
            about=table[named],
            content={**content, **more},
            document=source["document"],
            source=sources.get(source["document"], {}),
            clause=source.get("clause", ""),
            certainty=own.get("certainty", table.get("certainty", "local")),
            note=own.get("note", table.get("note", "")),
            since=line.get("from", head["from"]),
            until=until,
        )


def _value(key: str, entries: list[Entry]) -> list[str]:
    """A value with a line for each of its entries; shared fields stand once."""
    first = entries[0]
    head = {name: value for name, value in first.content.items() if name != "value"}
    lines = [
        "[[value]]",
        f"key = {_text(key)}",
        *_pairs(head),
        f"source = {_source(first)}",
        f"certainty = {_text(first.certainty)}",
        "values = [",
    ]
    for entry in entries:
        parts = [f"from = {entry.since}"]
        if entry.until is not None:
            parts.append(f"until = {entry.until}")
        amount = entry.content["value"]
        is_day = entry.content.get("unit") == "date"
        parts.append(f"value = {amount if is_day else _amount(amount)}")
        for name in _OF_A_LINE:
            if entry.content.get(name) != first.content.get(name):
                parts += _pairs({name: entry.content[name]})
        if (entry.document, entry.clause) != (first.document, first.clause):
            parts.append(f"source = {_source(entry)}")
        if entry.certainty != first.certainty:
            parts.append(f"certainty = {_text(entry.certainty)}")
        if entry.note:
            parts.append(f"note = {_text(entry.note)}")
        lines.append(f"  {{ {', '.join(parts)} }},")
    return [*lines, "]"]


def _whole(entry: Entry) -> list[str]:
    lines = [f"id = {_text(entry.about)}", *_pairs(entry.content)]
    lines.append(f"from = {entry.since}")
    if entry.until is not None:
        lines.append(f"until = {entry.until}")
    lines += [f"source = {_source(entry)}", f"certainty = {_text(entry.certainty)}"]
    if entry.note:
        lines.append(f"note = {_text(entry.note)}")
    return lines


def _source(entry: Entry) -> str:
    clause = f", clause = {_text(entry.clause)}" if entry.clause else ""
    return f"{{ document = {_text(entry.document)}{clause} }}"


def _pairs(plain: Plain) -> list[str]:
    return [
        f"{name} = {value if name == 'checked' else _amount(value)}"
        for name, value in plain.items()
    ]


def _amount(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, Mapping):
        return f"{{ {', '.join(_pairs(value))} }}"
    if not isinstance(value, list | tuple):
        raise TypeError(f"{type(value).__name__} has no place in a local file")
    return f"[{', '.join(_amount(item) for item in value)}]"


def _text(text: str) -> str:
    """A basic string of TOML: as in JSON, plus an escape for DEL."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _plain(value: object) -> object:
    """A value of TOML as plain data for JSON."""
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    return value
