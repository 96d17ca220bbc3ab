"""One value of the rulebook: its spells over time, what each layer says, what it is used for."""

import datetime as dt
from collections.abc import Iterable, Iterator

from msgspec import Struct

from connections.rulebook.book import Condition, Rulebook, Value
from connections.rulebook.schema import DatedValue, Part, Spell
from connections.rulebook.telling import amount_in_words, day_in_words
from sites.rulebook.reading.history import reigns
from sites.rulebook.reading.place import Chosen
from sites.rulebook.reading.values import ShownValue, amount_of_reign, shown_value
from sites.rulebook.words.rulebook import CERTAINTIES, SHORT_CERTAINTIES, nations_in_words


class SpellRow(Struct, frozen=True):
    """One amount with its days, and who gives it. `now` says that it holds on the chosen day."""

    since: str
    until: str
    amount: str
    source: str
    certainty: str
    layer: str
    now: bool = False


class Said(Struct, frozen=True):
    """What one layer says of a value on the chosen day."""

    layer: str
    amount: str
    source: str
    certainty: str
    won: bool


class ElsewhereRow(Struct, frozen=True):
    """What a file of another place or edition says of the value."""

    file: str
    place: str
    spells: tuple[SpellRow, ...]


class Use(Struct, frozen=True):
    """A row, step or condition that names the value.

    `page` is the name of the address that shows it, `anchor` its place there.
    """

    page: str
    anchor: str
    says: str


class ValuePage(Struct, frozen=True):
    """All of one value; `held` is None where the chosen rulebook has no such value.

    `exact` is the whole number that is reckoned with, in its unit; empty for what is no amount
    or is not reckoned with. `reference` says that nothing acts on it there.
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


def value_page(chosen: Chosen, key: str) -> ValuePage | None:
    """Everything about one value, or None where no file gives it."""
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
        certainty=CERTAINTIES[value.certainty] if value else "",
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
    )


def _exact(value: Value) -> str:
    amount = value.amount
    if isinstance(amount, bool) or not isinstance(amount, int) or value.unit == "count":
        return ""
    return f"{amount:,} {value.unit.replace('-', ' ')}"


def _layers(book: Rulebook, value: Value, titles: dict[str, str]) -> Iterator[Said]:
    """The layer that won and those beneath it, from the top."""
    for n, said in enumerate((value, *book.beneath.get(value.key, ()))):
        yield Said(
            layer=titles.get(said.layer, said.layer),
            amount=amount_in_words(said),
            source=str(said.source),
            certainty=SHORT_CERTAINTIES[said.certainty],
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
    # 2026-11-25: name rows, steps and conditions alone: nothing declares which values a finding
    # reads. A decided site names them.
    for extra in book.conditions:
        if _asked(extra.when, key):
            yield Use("rulebook-steps", f"condition-{extra.id}", f"Condition: {extra.says}")


def _asked(conditions: Iterable[Condition], key: str) -> bool:
    return any(key in (condition.against, condition.reading) for condition in conditions)
