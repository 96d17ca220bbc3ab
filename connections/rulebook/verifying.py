"""Values that somebody of the firm has read in their document and agrees with.

A reading changes what pages and packs say of a value's certainty, and nothing that is decided: no
digest covers it. It counts while the value, and the document that settles it, are the same.
"""

from collections.abc import Iterator, Mapping
from typing import TypeAlias

from msgspec import structs

from connections.facts.canonical import digest
from connections.rulebook.book import Amount, Reading, Rulebook, Source, Value
from connections.rulebook.schema import Part

Named: TypeAlias = tuple[str, str, str, str]
"""What a reading is of: document and its edition, key, and digest of the value."""


def name_of(book: Rulebook, value: Value) -> Named:
    """What a reading of this value of a rulebook is of."""
    return name_of_value(book.settling(value), value)


def name_of_value(document: Source, value: Value) -> Named:
    """What a reading of this value in this document is of."""
    return _name(document, value.key, value.says, value.unit, value.applies_to, value.amount)


def names_in(part: Part) -> Iterator[Named]:
    """What readings of the values of a file are of, for each amount over time."""
    awaited = {key: each.document for each in part.awaited for key in each.keys}
    for key, value in part.values.items():
        for spell in value.spells:
            yield _name(
                awaited.get(key, spell.source),
                key,
                spell.says or value.says,
                value.unit,
                spell.applies_to or value.applies_to,
                spell.amount,
            )


def with_readings(book: Rulebook, readings: Mapping[Named, Reading]) -> Rulebook:
    """The rulebook with the readings that count for its values."""
    found = {}
    for key in {named[2] for named in readings} & book.values.keys():
        reading = readings.get(name_of(book, book.values[key]))
        if reading is not None:
            found[key] = reading
    return structs.replace(book, readings=found) if found else book


def _name(
    document: Source, key: str, says: str, unit: str, applies_to: str, amount: Amount
) -> Named:
    # A change of the sentence or the scope changes what the figure means, so it counts too.
    value = {"says": says, "unit": unit, "applies_to": applies_to, "amount": amount}
    return document.document, document.edition, key, digest(value)
