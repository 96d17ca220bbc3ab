"""Turn a file's tables into the types of `schema`; find the faults that one file shows."""

import re
from collections.abc import Callable, Mapping

from connections.facts.canonical import digest
from connections.rulebook.book import Area, Outcome, SettingTable, StepRule, TableRow
from connections.rulebook.reading.caps import add_cap, add_extra, read_cap, read_extra
from connections.rulebook.reading.entry import Entry
from connections.rulebook.reading.outlook import read_awaited, read_expected
from connections.rulebook.reading.references import (
    Register,
    certainty_of,
    id_of,
    named,
    once,
    source_of,
)
from connections.rulebook.reading.settings import read_settings
from connections.rulebook.reading.table import read_outcome, read_row, read_step
from connections.rulebook.reading.values import read_value
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import (
    FORMAT,
    NATIONS,
    SOURCE_KINDS,
    Awaited,
    DatedCap,
    DatedCondition,
    DatedValue,
    Expected,
    Kind,
    Part,
    SourceDocument,
)

_LISTS: dict[Kind, tuple[str, ...]] = {
    "edition": ("value", "outcome", "row", "step", "setting_table", "expected", "awaited"),
    "operator": ("source", "value", "step", "setting_table", "export_cap", "condition"),
    "local": ("source", "value", "export_cap", "condition"),
}
_BY_ID = ("row", "step", "setting_table", "export_cap", "condition", "expected")
_NAMED_BY = {**dict.fromkeys(_BY_ID, "id"), "awaited": "document"}
_CHANGE_NOTHING = ("expected", "awaited")
"""Lists that decide nothing and so change no digest."""
_TABLES = {name for names in _LISTS.values() for name in names}


def read_register(data: Mapping[str, object], file: str) -> dict[str, SourceDocument]:
    """Read the register of source documents, by id."""
    top = Entry(data, file, "")
    documents = _sources(top)
    top.done()
    return documents


def read_areas(data: Mapping[str, object], file: str, register: Register) -> tuple[Area, ...]:
    """Read licence areas and independent operators' prefixes; each id and prefix is unique."""
    top = Entry(data, file, "")
    areas: dict[str, Area] = {}
    prefixes: set[str] = set()
    for entry in named(top, "area", "id"):
        area = Area(
            id=id_of(entry, "id"),
            prefix=entry.text("prefix", ""),
            name=entry.text("name"),
            independent=entry.flag("independent"),
            source=source_of(entry, register),
            certainty=certainty_of(entry),
            nation=entry.choice("nation", NATIONS, ""),
        )
        entry.done()
        if not (area.prefix or area.nation):
            entry.refuse(
                "`prefix` is missing; give it, or the `nation` if no number tells the area"
            )
        if area.prefix and not re.fullmatch(r"[0-9]{2}", area.prefix):
            entry.refuse("`prefix` must be two digits in quotes")
        once(areas, area.id, area, entry)
        if area.prefix and area.prefix in prefixes:
            entry.refuse(f'the prefix "{area.prefix}" stands twice')
        prefixes.add(area.prefix)
    top.done()
    return tuple(areas.values())


def read_part(files: Mapping[str, Mapping[str, object]], kind: Kind, register: Register) -> Part:
    """Read the edition, operator's file or local file in `files` (name to content).

    Raises RulebookError for the first fault. `fitting` checks against other parts.
    """
    tops = [Entry(content, file, "") for file, content in files.items()]
    heads = [top for top in tops if top.has("book")]
    if not heads:
        raise RulebookError(next(iter(files), ""), "book", "there is no [book] head; give one")
    if len(heads) > 1:
        raise RulebookError(heads[1].file, "book", f"the head stands already in {heads[0].file}")
    head = Entry(heads[0].raw("book"), heads[0].file, "book")
    if head.text("format") != FORMAT:
        head.refuse(f'`format` must be "{FORMAT}"')
    if head.text("kind") != kind:
        head.refuse(f'`kind` must be "{kind}" for a file in this place')
    since = head.day("from")
    documents = dict(register)
    values: dict[str, DatedValue] = {}
    outcomes: dict[str, Outcome] = {}
    rows: dict[str, TableRow] = {}
    steps: dict[str, StepRule] = {}
    settings: dict[str, SettingTable] = {}
    caps: list[DatedCap] = []
    extras: list[DatedCondition] = []
    expected: dict[str, Expected] = {}
    awaited: dict[str, Awaited] = {}
    places: dict[str, str] = {}
    readers: dict[str, Callable[[Entry], None]] = {
        "value": lambda e: once(values, e.text("key"), read_value(e, since, documents, kind), e),
        "outcome": lambda e: once(outcomes, e.text("key"), read_outcome(e), e),
        "row": lambda e: once(rows, e.text("id"), read_row(e, documents), e),
        "step": lambda e: once(steps, e.text("id"), read_step(e, documents), e),
        "setting_table": lambda e: once(settings, e.text("id"), read_settings(e, documents), e),
        "expected": lambda e: once(expected, e.text("id"), read_expected(e, documents), e),
        "awaited": lambda e: once(awaited, e.text("document"), read_awaited(e, documents), e),
        "export_cap": lambda e: add_cap(caps, read_cap(e, since, documents, kind), e),
        "condition": lambda e: add_extra(extras, read_extra(e, since, documents, kind), e),
    }
    for top in tops:
        if kind != "edition":
            documents.update(_sources(top, register, may_be_empty=True))
        for name in _LISTS[kind]:
            if name in readers:
                for entry in named(top, name, _NAMED_BY.get(name, "key")):
                    readers[name](entry)
                    places[entry.name] = entry.file
        if unknown := top.others():
            why = (
                f"`{unknown[0]}` can't stand in a file of kind {kind}"
                if unknown[0] in _TABLES
                else "this is not a key known here; check its spelling"
            )
            raise RulebookError(top.file, unknown[0], why)
    part = Part(
        kind=kind,
        key=id_of(head, "key"),
        title=head.text("title"),
        edition=head.text("edition") if kind == "edition" else "",
        areas=_areas(head, kind),
        since=since,
        until=head.last_day("until", since),
        nations=_nations(head) if kind == "edition" else (),
        values=values,
        outcomes=tuple(outcomes.values()),
        rows=tuple(rows.values()),
        steps=tuple(steps.values()),
        settings=tuple(settings.values()),
        digest=digest([told for data in files.values() if (told := _deciding(data))]),
        file=head.file,
        places=places,
        caps=tuple(caps),
        conditions=tuple(extras),
        expected=tuple(expected.values()),
        awaited=tuple(awaited.values()),
    )
    head.done()
    return part


def _deciding(data: Mapping[str, object]) -> dict[str, object]:
    """A file without what decides nothing, so that it changes no digest."""
    data = {name: told for name, told in data.items() if name not in _CHANGE_NOTHING}
    values = data.get("value")
    if not isinstance(values, list):
        return data
    return {
        **data,
        "value": [
            {name: said for name, said in value.items() if name != "reference"} for value in values
        ],
    }


def _areas(head: Entry, kind: Kind) -> tuple[str, ...]:
    if kind == "edition" or (kind == "local" and not head.has("areas")):
        return ()
    return head.words("areas")


def _nations(head: Entry) -> tuple[str, ...]:
    nations = head.words("nations")
    for nation in nations:
        if nation not in NATIONS:
            head.refuse(f'`nations` names "{nation}", which is not one of {", ".join(NATIONS)}')
    return nations


def _sources(
    top: Entry, taken: Register | None = None, *, may_be_empty: bool = False
) -> dict[str, SourceDocument]:
    documents: dict[str, SourceDocument] = {}
    for entry in named(top, "source", "id", may_be_empty=may_be_empty):
        document = SourceDocument(
            id=id_of(entry, "id"),
            title=entry.text("title"),
            kind=entry.choice("kind", SOURCE_KINDS),
            edition=entry.text("edition", ""),
            has_clauses=entry.flag("has_clauses", True),
            note=entry.text("note", ""),
        )
        entry.done()
        if taken and document.id in taken:
            entry.refuse("this id is taken by the register of source documents; choose another")
        once(documents, document.id, document, entry)
    return documents
