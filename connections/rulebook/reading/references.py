"""Read the fields of every kind of entry: id, source, certainty, note."""

import re
from collections.abc import Iterable, Mapping
from typing import TypeAlias, TypeVar, cast

from connections.rulebook.book import Certainty, Source
from connections.rulebook.reading.entry import Entry
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import CERTAINTIES, LOCAL_CERTAINTIES, SourceDocument

Register: TypeAlias = Mapping[str, SourceDocument]
_Thing = TypeVar("_Thing")

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def source_of(entry: Entry, register: Register) -> Source:
    """The source that an entry names, from the register."""
    line = entry.entry("source")
    name = line.text("document")
    document = register.get(name)
    if document is None:
        entry.refuse(f'`source` names "{name}", which is not in the register of source documents')
    clause = line.text("clause", "")
    line.done()
    if document.has_clauses and not clause:
        entry.refuse("`source` names no clause; give it")
    return Source(document=name, title=document.title, edition=document.edition, clause=clause)


def certainty_of(entry: Entry, *, local: bool = False) -> Certainty:
    """The certainty of an entry; in a local file "local" or less certain."""
    if local:
        # 2026-11-25: "local" means: in writing, from the operator or in a document. A firm cannot
        # say "published".
        return cast(Certainty, entry.choice("certainty", LOCAL_CERTAINTIES, "local"))
    published = tuple(word for word in CERTAINTIES if word != "local")
    return cast(Certainty, entry.choice("certainty", published))


def note_of(entry: Entry) -> str:
    """The note, a sentence, or empty."""
    return entry.sentence("note") if entry.has("note") else ""


def id_of(entry: Entry, key: str) -> str:
    """An id: lower-case letters and digits joined by hyphens."""
    value = entry.text(key)
    if not _ID.fullmatch(value):
        entry.refuse(f"`{key}` must be lower-case letters and digits joined by hyphens")
    return value


def named(top: Entry, name: str, key: str, *, may_be_empty: bool = True) -> Iterable[Entry]:
    """The entries of a list of tables, each named by its own key if it has one."""
    if may_be_empty and not top.has(name):
        return
    raw = top.raw(name)
    if not isinstance(raw, list):
        raise RulebookError(top.file, name, f"write each one under [[{name}]]")
    for n, data in enumerate(raw, 1):
        called = data.get(key) if isinstance(data, dict) else None
        what = name.replace("_", " ")
        yield Entry(data, top.file, f"{what} {called if isinstance(called, str) else n}")


def once(taken: dict[str, _Thing], key: str, thing: _Thing, entry: Entry) -> None:
    """Store a thing under its key, unless the key is taken."""
    if key in taken:
        entry.refuse(f'"{key}" stands twice; give each its own')
    taken[key] = thing
