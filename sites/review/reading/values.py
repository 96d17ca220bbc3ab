"""Values that applications used and nobody of the firm has read, by the document to read."""

from collections.abc import Iterable

from django.utils.http import urlencode
from msgspec import Struct

from connections.facts.canonical import digest
from connections.rulebook.book import Source, Value
from connections.rulebook.load import load_books
from connections.rulebook.telling import amount_in_words
from connections.rulebook.verifying import Named, name_of_value
from sites.cases.models import Case
from sites.review.reading.cases_in_short import judge
from sites.rulebook.reading.values import document_title
from sites.rulebook.words.rulebook import short_certainty

MOST_NAMED = 3
"""Names at most this many applications beside a value and counts the rest. Our choice."""


class UnreadValue(Struct, frozen=True):
    """A value to read: what it is, where it stands, and who used it.

    `mark` names it on the page. `stands` is the clause, empty where none is known or the clause is
    of another document. `otherwise` is the query string of the form for another figure.
    """

    mark: str
    name: Named
    key: str
    says: str
    amount: str
    applies_to: str
    stands: str
    told_by: str
    certainty: str
    used: int
    used_by: tuple[str, ...]
    otherwise: str

    @property
    def more(self) -> int:
        """How many applications beyond those named."""
        return self.used - len(self.used_by)


class DocumentToRead(Struct, frozen=True):
    """A document with the unread values that it settles; `says` tells what to read there.

    `is_one` is false where no document is known: those values can't be ticked.
    """

    anchor: str
    title: str
    says: str
    is_one: bool
    values: tuple[UnreadValue, ...]


def documents_to_read() -> tuple[DocumentToRead, ...]:
    """Return the documents whose values applications used, most used first.

    At most 16 queries for any number of cases.
    """
    cases = list(Case.objects.select_related("application", "premises", "design"))
    judged = judge(cases)
    used: dict[Named, list[str]] = {}
    seen: dict[Named, tuple[Source, Value]] = {}
    for case in cases:
        for document, value in judged[case.pk].unread:
            name = name_of_value(document, value)
            seen.setdefault(name, (document, value))
            used.setdefault(name, []).append(case.application.reference)
    groups: dict[tuple[str, str], list[UnreadValue]] = {}
    for name, (document, value) in seen.items():
        unread = _unread(name, document, value, used[name])
        groups.setdefault((document.document, document_title(document)), []).append(unread)
    found = [_document(id, title, values) for (id, title), values in groups.items()]
    return tuple(sorted(found, key=lambda each: (not each.is_one, -_used(each.values))))


def _unread(name: Named, document: Source, value: Value, used: Iterable[str]) -> UnreadValue:
    references = sorted(set(used))
    own = value.source.document == document.document
    told_by = "" if own or not _is_one(value.source.document) else document_title(value.source)
    return UnreadValue(
        mark=digest(list(name))[:16],
        name=name,
        key=value.key,
        says=value.says,
        amount=amount_in_words(value),
        applies_to=value.applies_to,
        stands=value.source.clause if own else "",
        told_by=told_by,
        certainty=short_certainty(value.certainty),
        used=len(references),
        used_by=tuple(references[:MOST_NAMED]),
        otherwise=urlencode({"key": value.key, **_named(document, value)}),
    )


def _named(document: Source, value: Value) -> dict[str, str]:
    """What a local entry of another figure can say of its source from the start."""
    if not _is_one(document.document):
        return {}
    known = load_books().sources.get(document.document)
    found = {
        "title": document_title(document),
        "document_kind": known.kind if known else "",
        "clause": value.source.clause if value.source.document == document.document else "",
    }
    return {name: said for name, said in found.items() if said}


def _document(id: str, title: str, values: list[UnreadValue]) -> DocumentToRead:
    books = load_books()
    says = (
        each.says
        for part in reversed(books.editions)
        for each in part.awaited
        if each.document.document == id
    )
    return DocumentToRead(
        anchor=f"document-{id}",
        title=title,
        says=next(says, ""),
        is_one=_is_one(id),
        values=tuple(sorted(values, key=lambda each: (-each.used, each.key))),
    )


def _is_one(id: str) -> bool:
    """Whether a document of this id can be read at all."""
    known = load_books().sources.get(id)
    return known is None or known.kind not in ("memory", "practice")


def _used(values: Iterable[UnreadValue]) -> int:
    return max(each.used for each in values)
