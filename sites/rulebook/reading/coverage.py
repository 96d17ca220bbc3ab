"""Lists what the rulebook's files cover, what they lack, and their source documents."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct

from connections.rulebook.book import GREAT_BRITAIN, UNSURE, Area, Rulebook, Source
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import NATIONS, Part
from connections.rulebook.telling import amount_in_words, day_in_words
from sites.rulebook.reading.place import Chosen, Shelf, place_of, where_of
from sites.rulebook.reading.values import certainty_counts, document_title
from sites.rulebook.words.rulebook import (
    SHORT_CERTAINTIES,
    certainty_of,
    nation_in_words,
    nations_in_words,
)

KINDS = {
    "recommendation": "Recommendations",
    "regulation": "Regulations",
    "standard": "Standards",
    "form": "Forms",
    "guidance": "Guidance",
    "notice": "Notices",
    "letter": "Letters",
    "practice": "Practice",
    "memory": "Memory",
}
"""Kinds of source documents in the order of the register."""

_OTHER = "Documents of local entries and operators' files"


class CoveredEdition(Struct, frozen=True):
    """An edition: where and when it holds, and its size in numbers.

    `values` counts those that act, `reference` those that nothing acts on.
    """

    key: str
    title: str
    edition: str
    nations: str
    dates: str
    now: bool
    procedures: tuple[str, ...]
    values: int
    reference: int
    rows: int
    steps: int
    settings: int


class CoveredArea(Struct, frozen=True):
    """A licence area with its operators' files and the number of its local entries."""

    where: str
    name: str
    nation: str
    layers: tuple[str, ...]
    local: int


class InForce(Struct, frozen=True):
    """The rulebook of the chosen place and day in numbers.

    `values` counts those that act, `reference` those that nothing acts on.
    """

    edition: str
    since: str
    until: str
    layers: tuple[str, ...]
    digest: str
    values: int
    reference: int
    rows: int
    steps: int
    settings: int
    caps: int
    conditions: int
    certainties: tuple[tuple[str, str, int, int], ...]


class ExpectedMove(Struct, frozen=True):
    """Something that is expected to move, and the keys of the values that it could change."""

    nations: str
    says: str
    keys: tuple[str, ...]
    source: str
    certainty: str
    checked: str


class WaitingValue(Struct, frozen=True):
    """A value that acts and that nobody has read in the text itself."""

    key: str
    says: str
    amount: str
    certainty: str


class AwaitedDocument(Struct, frozen=True):
    """A document with the values that it would settle; `says` tells what to read there."""

    title: str
    says: str
    values: tuple[WaitingValue, ...]


class Coverage(Struct, frozen=True):
    """What the files cover; `lacking` names in sentences under heads what they don't.

    `awaited` is of the chosen rulebook, the document with most values first.
    """

    editions: tuple[CoveredEdition, ...]
    areas: tuple[CoveredArea, ...]
    independent: int
    expected: tuple[ExpectedMove, ...]
    awaited: tuple[AwaitedDocument, ...]
    lacking: tuple[tuple[str, tuple[str, ...]], ...]


class ShownSource(Struct, frozen=True):
    """A source document; `named` counts the amounts, rows, steps and tables that cite it."""

    id: str
    title: str
    edition: str
    note: str
    named: int


def in_force(chosen: Chosen) -> InForce:
    """Return the chosen rulebook in numbers."""
    book = chosen.book
    edition = next(part for part in chosen.stack if part.key == book.key)
    return InForce(
        edition=book.edition,
        since=day_in_words(edition.since),
        until=day_in_words(edition.until) if edition.until else "",
        layers=tuple(layer.title for layer in book.layers),
        digest=book.digest,
        values=len(book.values) - len(book.reference),
        reference=len(book.reference),
        rows=len(book.table),
        steps=len(book.steps),
        settings=len(book.settings),
        caps=len(book.caps),
        conditions=len(book.conditions),
        certainties=certainty_counts(book),
    )


def coverage(chosen: Chosen) -> Coverage:
    """Return what the files cover: all editions, and the areas as on the chosen day."""
    files, on = chosen.shelf, chosen.on
    networks = [area for area in files.books.areas if not area.independent]
    return Coverage(
        editions=tuple(_edition(part, on) for part in files.books.editions),
        areas=tuple(_area(area, files, on) for area in networks),
        independent=len(files.books.areas) - len(networks),
        expected=tuple(_expected(chosen)),
        awaited=_awaited(chosen),
        lacking=tuple(
            (head, told)
            for head, told in (
                ("Nations", tuple(_nations(files))),
                ("Days", tuple(_days(files))),
                ("Rules", tuple(_rules(files, on))),
                ("Switched off", tuple(_off(files, on))),
                ("Operators", tuple(_operators(files, on, networks))),
            )
            if told
        ),
    )


def sources(files: Shelf) -> tuple[tuple[str, tuple[ShownSource, ...]], ...]:
    """Return the register of sources by kind, then documents of local and operators' files."""
    named: Counter[str] = Counter()
    others: dict[str, Source] = {}
    for part in files.parts():
        for source in _sources_of(part):
            named[source.document] += 1
            if source.document not in files.books.sources:
                others[source.document] = source
    for area in files.books.areas:
        named[area.source.document] += 1
    groups: dict[str, list[ShownSource]] = {title: [] for title in KINDS.values()}
    for found in files.books.sources.values():
        groups[KINDS[found.kind]].append(
            ShownSource(found.id, found.title, found.edition, found.note, named[found.id])
        )
    if others:
        groups[_OTHER] = [
            ShownSource(id, source.title, source.edition, "", named[id])
            for id, source in sorted(others.items())
        ]
    return tuple((title, tuple(some)) for title, some in groups.items() if some)


def _sources_of(part: Part) -> Iterator[Source]:
    for value in part.values.values():
        yield from (spell.source for spell in value.spells)
    yield from (row.source for row in part.rows)
    yield from (step.source for step in part.steps)
    yield from (table.source for table in part.settings)
    yield from (dated.cap.source for dated in part.caps)
    yield from (dated.condition.source for dated in part.conditions)


def _edition(part: Part, on: dt.date) -> CoveredEdition:
    until = f" until {day_in_words(part.until)}" if part.until else ""
    reference = sum(value.reference for value in part.values.values())
    return CoveredEdition(
        key=part.key,
        title=part.title,
        edition=part.edition,
        nations=nations_in_words(part.nations),
        dates=f"from {day_in_words(part.since)}{until}",
        now=part.holds_on(on),
        procedures=tuple(outcome.title for outcome in part.outcomes if not outcome.missing),
        values=len(part.values) - reference,
        reference=reference,
        rows=len(part.rows),
        steps=len(part.steps),
        settings=len(part.settings),
    )


def _expected(chosen: Chosen) -> Iterator[ExpectedMove]:
    """Yield what is expected of the editions of the day, that of the chosen place first."""
    editions = sorted(chosen.shelf.books.editions, key=lambda part: part.key != chosen.book.key)
    for part in editions:
        for each in part.expected if part.holds_on(chosen.on) else ():
            yield ExpectedMove(
                nations=nations_in_words(part.nations),
                says=each.says,
                keys=each.keys,
                source=str(each.source),
                certainty=SHORT_CERTAINTIES[each.certainty],
                checked=day_in_words(each.checked),
            )


def _awaited(chosen: Chosen) -> tuple[AwaitedDocument, ...]:
    """Group the unsure values that act by the document that would settle them."""
    book = chosen.book
    edition = next(part for part in chosen.stack if part.key == book.key)
    says = {each.document.document: each.says for each in edition.awaited}
    groups: dict[tuple[str, str], list[WaitingValue]] = {}
    for key, value in book.values.items():
        if certainty_of(book, value) in UNSURE and key not in book.reference:
            document = book.settling(value)
            head = (document.document, document_title(document))
            groups.setdefault(head, []).append(
                WaitingValue(
                    key, value.says, amount_in_words(value), SHORT_CERTAINTIES[value.certainty]
                )
            )
    found = [
        AwaitedDocument(title, says.get(document, ""), tuple(values))
        for (document, title), values in groups.items()
    ]
    return tuple(sorted(found, key=lambda each: -len(each.values)))


def _area(area: Area, files: Shelf, on: dt.date) -> CoveredArea:
    local = [part for part in files.local if area.id in part.areas]
    return CoveredArea(
        where=area.id,
        name=area.name,
        nation=nation_in_words(area.nations[0]),
        layers=tuple(
            part.title
            for part in files.books.operators
            if area.id in part.areas and part.holds_on(on)
        ),
        local=sum(len(part.values) + len(part.caps) + len(part.conditions) for part in local),
    )


def _nations(files: Shelf) -> Iterator[str]:
    covered = {nation for part in files.books.editions for nation in part.nations}
    for nation in NATIONS:
        if nation not in covered:
            yield f"{nation.replace('_', ' ').title()}: no edition is held."


def _days(files: Shelf) -> Iterator[str]:
    """Name the days before, between and after each country's editions."""
    for nation in _countries(files):
        parts = [part for part in files.books.editions if nation in part.nations]
        name = nation_in_words(nation)
        yield f"{name}: nothing before {day_in_words(parts[0].since)}."
        for part, following in pairwise(parts):
            if part.until and (following.since - part.until).days > 1:
                yield (
                    f"{name}: nothing between {day_in_words(part.until)} and "
                    f"{day_in_words(following.since)}."
                )
        if parts[-1].until:
            yield f"{name}: nothing after {day_in_words(parts[-1].until)}."


def _rules(files: Shelf, on: dt.date) -> Iterator[str]:
    """Name the rules that a rulebook lacks, and editions without steps or settings."""
    for book in _books(files, on):
        part = next(part for part in files.books.editions if part.key == book.key)
        name = nations_in_words(part.nations)
        missing = dict.fromkeys((o.missing, o.ask) for o in book.outcomes if o.missing)
        for rule, ask in missing:
            yield f"{name}: the rule on {rule} is not held; ask {ask}."
        if not book.steps:
            yield f"{name}: no step is held."
        if not book.settings:
            yield f"{name}: no protection settings are held."


def _off(files: Shelf, on: dt.date) -> Iterator[str]:
    for book in _books(files, on):
        part = next(part for part in files.books.editions if part.key == book.key)
        live = {row.id for row in book.table}
        titles = {outcome.key: outcome.title for outcome in part.outcomes}
        for row in part.rows:
            if row.id not in live:
                name = nations_in_words(part.nations)
                yield f"{name}: “{titles[row.outcome]}” takes no part while {row.switch} is no."


def _operators(files: Shelf, on: dt.date, networks: list[Area]) -> Iterator[str]:
    bare = [
        area.name
        for area in networks
        if not any(area.id in part.areas and part.holds_on(on) for part in files.books.operators)
    ]
    if bare:
        yield f"No operator's values are held for {', '.join(bare)}; what is published holds there."
    others = [area.prefix for area in files.books.areas if area.independent]
    if others:
        yield (
            f"No values of independent operators are held. Their prefixes ({', '.join(others)}) "
            "tell no region."
        )


def _books(files: Shelf, on: dt.date) -> Iterator[Rulebook]:
    """Yield each country's rulebook on a day, without a licence area."""
    for nation in _countries(files):
        try:
            yield files.resolve(place_of(where_of("", nation)), on)
        except RulebookError:
            continue


def _countries(files: Shelf) -> tuple[str, ...]:
    nations = [nation for part in files.books.editions for nation in part.nations]
    firsts = [GREAT_BRITAIN[0] if nation in GREAT_BRITAIN else nation for nation in nations]
    return tuple(dict.fromkeys(firsts))
