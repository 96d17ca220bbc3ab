"""A rulebook as lines of text: results of a check of its files, values, and differences."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from connections.rulebook.book import UNSURE, ExportCap, ExtraCondition, Rulebook, Value
from connections.rulebook.checking.gaps import table_reports
from connections.rulebook.difference.finding import Difference
from connections.rulebook.difference.sentences import cap_in_words, condition_in_words
from connections.rulebook.schema import Books, DatedCap, DatedCondition, DatedValue, Part
from connections.rulebook.telling import amount_in_words, day_in_words, layer_title, origin
from connections.rules.figures import plural

_WIDTH = 14


def overview(books: Books) -> Iterator[str]:
    """Shipped files: each edition and operator's file with its table and its certainties."""
    for edition in books.editions:
        yield f"{edition.key}: {edition.edition}, {', '.join(edition.nations)}, {_dates(edition)}"
        yield from _content(edition)
        yield from _table(edition, ())
        for layers in _operators_of(books, edition):
            yield from _table(edition, layers)
    for part in books.operators:
        yield f"{part.key}: {part.title}, {', '.join(part.areas)}, {_dates(part)}"
        yield from _content(part)


def of_file(part: Part, books: Books) -> Iterator[str]:
    """Content of one file, and its effect on the rulebooks below it."""
    areas = ", ".join(part.areas) if part.areas else ", ".join(part.nations) or "all areas"
    yield f"{part.key}: {part.title}, {areas}, {_dates(part)}"
    yield from _content(part)
    if part.kind == "edition":
        yield from _table(part, ())
        return
    for dated in part.caps:
        yield f"  export cap {dated.cap.id}: {cap_in_words(dated.cap)}{_days(dated)}"
    for extra in part.conditions:
        yield f"  condition {extra.condition.id}: {extra.condition.asks.rstrip('.')}{_days(extra)}"
    for edition in books.editions:
        if not (_meet(part, edition) and _share_nation(part, edition, books)):
            continue
        for key, value in part.values.items():
            lower = edition.values.get(key)
            if lower is None:
                yield f"  {key}: {_amounts(value)}, which {edition.key} doesn't have"
            else:
                yield f"  {key}: {_amounts(value)} in place of {_amounts(lower)} in {edition.key}"
        yield from _table(edition, (part,))


def totals(books: Books) -> str:
    """One line with the numbers of amounts that act, of unpublished ones, and for reference."""
    parts = (*books.editions, *books.operators)
    values = [value for part in parts for value in part.values.values()]
    found = _certainties(values)
    reference = sum(len(value.spells) for value in values if value.reference)
    unsure = ", ".join(f"{found[word]} {word}" for word in UNSURE)
    amounts = sum(found.values())
    editions = plural(len(books.editions), "edition")
    operators = plural(len(books.operators), "operator's file", "operators' files")
    return (
        f"{editions} and {operators} load: {plural(amounts, 'amount')} that something acts on, of "
        f"which {unsure}, and {reference} for reference; no gap in any table."
    )


def of_value(value: Value, book: Rulebook) -> Iterator[str]:
    """One value: amount, sentence, unit, source, certainty, and what it replaces."""
    yield f"{value.key}: {amount_in_words(value)}"
    yield f"  {value.says}"
    yield f"  {'unit':<{_WIDTH}}{value.unit}"
    yield f"  {'applies to':<{_WIDTH}}{value.applies_to}"
    if value.key in book.reference:
        yield f"  {'acts':<{_WIDTH}}no; it is kept for reference"
    yield from _origin(value, book)


def of_cap(cap: ExportCap, book: Rulebook) -> Iterator[str]:
    """One cap on export: where it holds, how much, source and certainty."""
    yield f"export cap {cap.id}: {cap_in_words(cap)}"
    yield f"  {cap.says}"
    yield from _origin(cap, book)


def of_condition(condition: ExtraCondition, book: Rulebook) -> Iterator[str]:
    """One extra condition: for which sites, what it asks, source and certainty."""
    yield f"condition {condition.id}: {condition.asks}"
    yield f"  {condition.says}"
    for one in condition.when:
        yield f"  {'sites with':<{_WIDTH}}{condition_in_words(one, book)}"
    yield f"  {'severity':<{_WIDTH}}{condition.severity}"
    if condition.attachments:
        yield f"  {'goes with it':<{_WIDTH}}{', '.join(condition.attachments)}"
    yield from _origin(condition, book)


def _origin(thing: Value | ExportCap | ExtraCondition, book: Rulebook) -> Iterator[str]:
    yield f"  {'since':<{_WIDTH}}{day_in_words(thing.since)}"
    yield f"  {'source':<{_WIDTH}}{thing.source}"
    yield f"  {'certainty':<{_WIDTH}}{thing.certainty}"
    yield f"  {'checked':<{_WIDTH}}{day_in_words(thing.checked)}"
    yield f"  {'from':<{_WIDTH}}{layer_title(book, thing.layer)}"
    if isinstance(thing, Value):
        for lower in book.beneath.get(thing.key, ()):
            where = layer_title(book, lower.layer)
            behind = origin(lower.source, lower.certainty)
            yield f"  {'in place of':<{_WIDTH}}{amount_in_words(lower)} from {where} ({behind})"
    if thing.note:
        yield f"  {'note':<{_WIDTH}}{thing.note}"


def head_of(book: Rulebook) -> str:
    """Edition, layers, area and date of a resolved rulebook in one line."""
    layers = ", ".join(layer.title for layer in book.layers)
    area = f"{book.area}, " if book.area else ""
    return f"{book.edition}; {area}as on {day_in_words(book.on_date)}; layers: {layers}"


def of_difference(told: Difference) -> Iterator[str]:
    """The sentences of a difference, after a line on its two rulebooks."""
    yield f"Before: {told.before}; now: {told.after}."
    for sentence in told.sentences:
        yield f"- {sentence}" if told.changes else sentence


def of_differences(found: Sequence[Difference], first: dt.date, last: dt.date) -> Iterator[str]:
    """Differences from each day on; one line if there are none."""
    if not found:
        yield (f"Nothing is different between {day_in_words(first)} and {day_in_words(last)}.")
    for told in found:
        yield f"{day_in_words(told.after.on_date)}"
        yield from (f"- {sentence}" for sentence in told.sentences)


def _dates(part: Part) -> str:
    until = f" until {day_in_words(part.until)}" if part.until else ""
    return f"from {day_in_words(part.since)}{until}"


def _content(part: Part) -> Iterator[str]:
    counts = [
        plural(len(things), name)
        for name, things in (
            ("value", part.values),
            ("outcome", part.outcomes),
            ("row", part.rows),
            ("step", part.steps),
            ("setting table", part.settings),
            ("export cap", part.caps),
            ("extra condition", part.conditions),
        )
        if things
    ]
    yield f"  holds: {', '.join(counts) or 'nothing'}"
    if reference := sum(value.reference for value in part.values.values()):
        yield f"  for reference, so that nothing acts on them: {plural(reference, 'value')}"
    for row in part.rows:
        if row.switch:
            says = _amounts(part.values[row.switch])
            yield f"  row {row.id} takes part only where {row.switch} is yes; here it is {says}"
    if found := _certainties(part.values.values()):
        told = ", ".join(f"{n} {word}" for word, n in found.most_common())
        yield f"  certainty of what acts: {told}"
    if part.values:
        checked = sorted(value.checked for value in part.values.values())
        first, last = day_in_words(checked[0]), day_in_words(checked[-1])
        yield f"  checked: on {last}" if first == last else f"  checked: from {first} to {last}"


def _certainties(values: Iterable[DatedValue]) -> Counter[str]:
    """Count the amounts that something acts on, by certainty."""
    return Counter(
        spell.certainty for value in values if not value.reference for spell in value.spells
    )


def _table(edition: Part, layers: Sequence[Part]) -> Iterator[str]:
    """Gaps, unreachable rows and outcomes of a table, for each stretch of days."""
    on = f" with {', '.join(layer.key for layer in layers)}" if layers else ""
    looked = 0
    faults: list[str] = []
    for day, report in table_reports(edition, layers):
        looked += 1
        faults += [f"from {day} no row holds for {gap}" for gap in report.gaps]
        faults += [f"from {day} row {row} can never be reached" for row in report.unreachable]
        faults += [f"from {day} no site comes to outcome {key}" for key in report.unanswered]
    stretches = plural(looked, "stretch", "stretches")
    state = "every site has a row, and every row can be reached"
    yield f"  table of {edition.key}{on}, {stretches} of days: {'see below' if faults else state}"
    yield from (f"    {fault}" for fault in faults)


def _operators_of(books: Books, edition: Part) -> Iterable[tuple[Part, ...]]:
    """Sets of operators' files of one area that change a limit of the table."""
    asked = {key for row in edition.rows for c in row.when for key in (c.against, c.reading)}
    asked |= {row.switch for row in edition.rows}
    found: dict[tuple[str, ...], tuple[Part, ...]] = {}
    for area in books.areas:
        layers = tuple(
            part
            for part in books.operators
            if area.id in part.areas and asked & part.values.keys() and _meet(part, edition)
        )
        if layers:
            found[tuple(part.key for part in layers)] = layers
    return found.values()


def _meet(part: Part, other: Part) -> bool:
    return part.holds_on(other.since) or other.holds_on(part.since)


def _share_nation(part: Part, edition: Part, books: Books) -> bool:
    """Whether a file is for all areas, or for one in a nation of the edition."""
    nations = {nation for area in books.areas if area.id in part.areas for nation in area.nations}
    return not part.areas or not nations.isdisjoint(edition.nations)


def _days(dated: DatedCap | DatedCondition) -> str:
    thing = dated.cap if isinstance(dated, DatedCap) else dated.condition
    until = f" until {day_in_words(dated.until)}" if dated.until else ""
    return f", from {day_in_words(thing.since)}{until}"


def _amounts(value: DatedValue) -> str:
    """Every amount of a dated value, with the days from the second one on."""
    told = [value.spells[0].written or "none"]
    told += [f"{spell.written or 'none'} from {spell.since}" for spell in value.spells[1:]]
    return ", ".join(told)
