"""One value of the rulebook: its spells, its layers and its uses."""

import datetime as dt
from collections.abc import Iterable, Iterator

from msgspec import Struct

from connections.rulebook.book import UNSURE, Condition, Rulebook, Value
from connections.rulebook.schema import DatedValue, Part, Spell
from connections.rulebook.telling import amount_in_words, certainty_in_words, day_in_words
from sites.rulebook.reading.history import reigns
from sites.rulebook.reading.place import Chosen
from sites.rulebook.reading.values import (
    ShownValue,
    amount_of_reign,
    document_title,
    shown_value,
)
from sites.rulebook.words.rulebook import (
    CERTAINTIES,
    SHORT_CERTAINTIES,
    capital,
    certainty_of,
    nations_in_words,
    short_certainty,
)


class SpellRow(Struct, frozen=True):
    """An amount with its days and layer; `now` marks the one that holds on the chosen day."""

    since: str
    until: str
    amount: str
    source: str
    certainty: str
    layer: str
    now: bool = False


class Said(Struct, frozen=True):
    """What one layer gives for a value on the chosen day."""

    layer: str
    amount: str
    source: str
    certainty: str
    won: bool


class ElsewhereRow(Struct, frozen=True):
    """What a file of another place or edition gives for the value."""

    file: str
    place: str
    spells: tuple[SpellRow, ...]


class Use(Struct, frozen=True):
    """A row, step or condition that names the value.

    `page` is the name of its page's address, `anchor` its place on that page.
    """

    page: str
    anchor: str
    says: str


class ValuePage(Struct, frozen=True):
    """Everything about one value; `held` is None if the chosen rulebook does not hold it.

    `exact` is the whole number used in calculations, with its unit; empty if there is none.
    `reference` says that nothing in the chosen rulebook acts on the value. `waits_for` is the
    document that would settle an unsure one, `expected` what could change it.
    """

    key: str
    says: str
    exact: str
    applies_to: str
    held: ShownValue | None
    reference: bool
    certainty: str
    over_time: tuple[SpellRow, ...]
    layers: tuple[Said, ...]
    elsewhere: tuple[ElsewhereRow, ...]
    uses: tuple[Use, ...]
    waits_for: str
    expected: tuple[str, ...]


def value_page(chosen: Chosen, key: str) -> ValuePage | None:
    """Return everything about one value, or None if no file gives it."""
    stack = chosen.stack
    giving = [part for part in chosen.shelf.parts() if key in part.values]
    if not giving:
        return None
    value = chosen.book.values.get(key)
    here = [part for part in giving if part in stack]
    stated = (here or giving)[-1].values[key]
    held = shown_value(chosen, value, stack) if value else None
    reference = key in chosen.book.reference
    titles = {part.key: part.title for part in chosen.shelf.parts()}
    return ValuePage(
        key=key,
        says=value.says if value else stated.says,
        exact=_exact(value) if value and not reference else "",
        applies_to=value.applies_to if value else stated.applies_to,
        held=held,
        reference=reference,
        certainty=_certainty(chosen.book, value) if value else "",
        over_time=tuple(
            SpellRow(
                since=day_in_words(reign.since),
                until=day_in_words(reign.until) if reign.until else "",
                amount=amount_of_reign(reign),
                source=str(reign.spell.source),
                certainty=SHORT_CERTAINTIES[reign.spell.certainty],
                layer=reign.part.title,
                now=reign.holds_on(chosen.on),
            )
            for reign in reigns(stack, key)
        ),
        layers=tuple(_layers(chosen.book, value, titles)) if value else (),
        elsewhere=tuple(_elsewhere(part, key, chosen) for part in giving if part not in stack),
        uses=tuple(_uses(chosen.book, key)),
        waits_for=document_title(chosen.book.settling(value))
        if value and certainty_of(chosen.book, value) in UNSURE
        else "",
        expected=tuple(
            each.says
            for part in stack
            if part.key == chosen.book.key
            for each in part.expected
            if key in each.keys
        ),
    )


def _certainty(book: Rulebook, value: Value) -> str:
    """Return who of the firm read the value and when, then what its file says."""
    said = CERTAINTIES[value.certainty]
    if value.key not in book.readings:
        return said
    return f"{capital(certainty_in_words(book, value))}. The rulebook alone: {said}"


def _exact(value: Value) -> str:
    amount = value.amount
    if isinstance(amount, bool) or not isinstance(amount, int) or value.unit == "count":
        return ""
    return f"{amount:,} {value.unit.replace('-', ' ')}"


def _layers(book: Rulebook, value: Value, titles: dict[str, str]) -> Iterator[Said]:
    """Yield the winning layer, then those beneath it."""
    for n, said in enumerate((value, *book.beneath.get(value.key, ()))):
        yield Said(
            layer=titles.get(said.layer, said.layer),
            amount=amount_in_words(said),
            source=str(said.source),
            certainty=short_certainty(certainty_in_words(book, said)),
            won=n == 0,
        )


def _elsewhere(part: Part, key: str, chosen: Chosen) -> ElsewhereRow:
    names = {area.id: area.name for area in chosen.book.areas}
    places = (
        ", ".join(names.get(area, area) for area in part.areas)
        if part.areas
        else nations_in_words(part.nations)
    )
    return ElsewhereRow(part.title, places, tuple(_spells(part, part.values[key])))


def _spells(part: Part, value: DatedValue) -> Iterator[SpellRow]:
    for n, spell in enumerate(value.spells):
        later = value.spells[n + 1].since if n + 1 < len(value.spells) else None
        ends = [spell.until, part.until, later - dt.timedelta(days=1) if later else None]
        until = min((end for end in ends if end is not None), default=None)
        yield SpellRow(
            since=day_in_words(max(spell.since, part.since)),
            until=day_in_words(until) if until else "",
            amount=_amount(spell),
            source=str(spell.source),
            certainty=SHORT_CERTAINTIES[spell.certainty],
            layer=part.title,
        )


def _amount(spell: Spell) -> str:
    amount = spell.amount
    return day_in_words(amount) if isinstance(amount, dt.date) else spell.written or "none"


def _uses(book: Rulebook, key: str) -> Iterator[Use]:
    titles = {outcome.key: outcome.title for outcome in book.outcomes}
    for row in book.table:
        if key == row.switch or _asked(row.when, key):
            yield Use("rulebook-table", f"row-{row.id}", f"Row {row.id}: {titles[row.outcome]}")
    for step in book.steps:
        if key in (step.form, step.limit) or _asked(step.only_if, key):
            yield Use("rulebook-steps", f"step-{step.id}", f"Step: {step.says}")
    # 2026-11-25: list rows, steps and conditions only. Findings do not declare the values that they
    # read; a decided site shows them.
    for extra in book.conditions:
        if _asked(extra.when, key):
            yield Use("rulebook-steps", f"condition-{extra.id}", f"Condition: {extra.says}")


def _asked(conditions: Iterable[Condition], key: str) -> bool:
    return any(key in (condition.against, condition.reading) for condition in conditions)
