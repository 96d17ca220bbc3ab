"""The list of values: grouped, searched, or only the unsure ones."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from msgspec import Struct

from connections.rulebook.book import UNSURE, Rulebook, Source, Value
from connections.rulebook.schema import Part
from connections.rulebook.telling import amount_in_words, certainty_in_words, day_in_words
from sites.rulebook.reading.history import Reign, reign_on, reigns
from sites.rulebook.reading.place import Chosen
from sites.rulebook.words.rulebook import (
    CERTAINTIES,
    FOR_REFERENCE,
    SHORT_CERTAINTIES,
    capital,
    certainty_of,
    checked_key,
    short_certainty,
)

UNSURE_FIRST = "unsure"
"""Address word that keeps secondary values and those from memory, oldest check first."""

SHOWS = {
    UNSURE_FIRST: "Only secondary or from memory, oldest check first",
    **{word: f"Only {told}" for word, told in SHORT_CERTAINTIES.items()},
}
"""Filters of the list, with their words."""


class ShownValue(Struct, frozen=True):
    """A value in words, with its days `since` and `until`; `comes` is what follows them.

    `layer` is the title of the winning layer, empty if that is the edition. `instead_of` is the
    amount of the next lower layer.
    """

    key: str
    says: str
    amount: str
    applies_to: str
    since: str
    until: str
    comes: str
    source: str
    clause: str
    certainty: str
    certainty_words: str
    checked: str
    layer: str
    instead_of: str
    note: str


class ValueGroup(Struct, frozen=True):
    """Values under one head; `anchor` names it on the page.

    `reference` says that nothing acts on them.
    """

    anchor: str
    title: str
    values: tuple[ShownValue, ...]
    reference: bool = False


class ValueList(Struct, frozen=True):
    """Groups of values found, with the number of values in them.

    `held` counts all values of the rulebook, `acting` those that act, `reference` the others, which
    form the last group.
    """

    groups: tuple[ValueGroup, ...]
    found: int
    held: int
    acting: int
    reference: int


def value_list(chosen: Chosen, words: str = "", show: str = "") -> ValueList:
    """Return the values that hold every word of `words` and fit `show` (one of SHOWS).

    Searches key, sentence, amount, scope, source and note, in upper or lower case.
    """
    wanted = words.casefold().split()
    values = [
        value
        for value in chosen.book.values.values()
        if _kept(certainty_of(chosen.book, value), show)
        and all(word in _text(value) for word in wanted)
    ]
    if show == UNSURE_FIRST:
        values.sort(key=checked_key)
        titles = [f"Last checked {day_in_words(value.checked)}" for value in values]
    else:
        values.sort(key=lambda value: (value.applies_to.casefold(), value.key))
        titles = [capital(value.applies_to) for value in values]
    stack = chosen.stack
    reference = chosen.book.reference
    groups: dict[str, list[ShownValue]] = {}
    kept: list[ShownValue] = []
    for title, value in zip(titles, values, strict=True):
        group = kept if value.key in reference else groups.setdefault(title, [])
        group.append(shown_value(chosen, value, stack))
    shown = [
        ValueGroup(f"group-{n}", title, tuple(some))
        for n, (title, some) in enumerate(groups.items(), 1)
    ]
    if kept:
        shown.append(ValueGroup("for-reference", FOR_REFERENCE, tuple(kept), reference=True))
    return ValueList(
        tuple(shown),
        found=len(values),
        held=len(chosen.book.values),
        acting=len(chosen.book.values) - len(reference),
        reference=len(reference),
    )


def certainty_counts(book: Rulebook) -> tuple[tuple[str, str, int, int], ...]:
    """Count the values of each certainty.

    Returns its word, its meaning, the number that act and the number for reference.
    """
    acting: Counter[str] = Counter(
        certainty_of(book, v) for v in book.values.values() if v.key not in book.reference
    )
    kept: Counter[str] = Counter(certainty_of(book, book.values[key]) for key in book.reference)
    return tuple(
        (word, told, acting[word], kept[word])
        for word, told in CERTAINTIES.items()
        if word in acting or word in kept
    )


def shown_value(chosen: Chosen, value: Value, stack: Sequence[Part] = ()) -> ShownValue:
    """Return a value of the chosen rulebook in words; `stack` may pass on `chosen.stack`."""
    now, then = reign_on(reigns(stack or chosen.stack, value.key), chosen.on)
    titles = _titles(chosen)
    beneath = chosen.book.beneath.get(value.key, ())
    lower = beneath[0] if beneath else None
    return ShownValue(
        key=value.key,
        says=value.says,
        amount=amount_in_words(value),
        applies_to=value.applies_to,
        since=day_in_words(now.since if now else value.since),
        until=day_in_words(now.until) if now and now.until else "",
        comes=_comes(now, then),
        source=title_of_source(value),
        clause=value.source.clause,
        certainty=value.certainty,
        certainty_words=short_certainty(certainty_in_words(chosen.book, value)),
        checked=day_in_words(value.checked),
        layer="" if value.layer == chosen.book.key else titles.get(value.layer, value.layer),
        instead_of=amount_in_words(lower) if lower else "",
        note=value.note,
    )


def title_of_source(value: Value) -> str:
    """Return title and edition of a value's source document."""
    return document_title(value.source)


def document_title(document: Source) -> str:
    """Return title and edition of a document."""
    return ", ".join(part for part in (document.title, document.edition) if part)


def amount_of_reign(reign: Reign) -> str:
    """Return the amount of a reign in words."""
    amount = reign.spell.amount
    return day_in_words(amount) if isinstance(amount, dt.date) else reign.spell.written or "none"


def _comes(now: Reign | None, then: Reign | None) -> str:
    if now is None or now.until is None:
        return ""
    if then is None or (then.since - now.until).days > 1:
        return "then no longer held"
    return f"then {amount_of_reign(then)}"


def _titles(chosen: Chosen) -> dict[str, str]:
    return {layer.key: layer.title for layer in chosen.book.layers}


def _kept(certainty: str, show: str) -> bool:
    if show == UNSURE_FIRST:
        return certainty in UNSURE
    return not show or certainty == show


def _text(value: Value) -> str:
    parts = (
        value.key,
        value.says,
        amount_in_words(value),
        value.applies_to,
        str(value.source),
        value.note,
    )
    return "\n".join(parts).casefold()
