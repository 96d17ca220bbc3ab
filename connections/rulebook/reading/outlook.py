"""Read what is expected to move, and which documents values wait for."""

from connections.rulebook.book import Source
from connections.rulebook.reading.entry import Entry
from connections.rulebook.reading.references import Register, certainty_of, id_of, source_of
from connections.rulebook.schema import Awaited, Expected


def read_expected(entry: Entry, register: Register) -> Expected:
    """Read something that is expected to move."""
    expected = Expected(
        id=id_of(entry, "id"),
        says=entry.sentence("says"),
        keys=entry.words("keys"),
        source=source_of(entry, register),
        certainty=certainty_of(entry),
        checked=entry.day("checked"),
    )
    entry.done()
    return expected


def read_awaited(entry: Entry, register: Register) -> Awaited:
    """Read a document that would settle values."""
    name = entry.text("document")
    document = register.get(name)
    if document is None:
        entry.refuse(f'`document` is "{name}", which is not in the register of source documents')
    awaited = Awaited(
        document=Source(name, document.title, document.edition, ""),
        says=entry.sentence("says"),
        keys=entry.words("keys"),
    )
    entry.done()
    return awaited
