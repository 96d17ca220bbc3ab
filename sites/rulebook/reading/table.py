"""The decision table as its page draws it, with a column for each deciding fact."""

from msgspec import Struct

from connections.facts.deciding import BY_NAME, DECIDING_FACTS
from connections.rulebook.book import Outcome, Rulebook, TableRow
from connections.rulebook.checking.gaps import table_report
from connections.rulebook.schema import Part
from sites.rulebook.reading.place import Chosen
from sites.rulebook.words.rulebook import SHORT_CERTAINTIES, Limit, capital, head_of_fact, limit_of


class Column(Struct, frozen=True):
    """A deciding fact that some row asks about: its short head and its full words."""

    fact: str
    head: str
    says: str


class Cell(Struct, frozen=True):
    """The condition of a row on one fact; empty if it has none."""

    head: str
    limits: tuple[Limit, ...]


class DrawnRow(Struct, frozen=True):
    """A row with a cell for each column, in their order."""

    number: int
    id: str
    title: str
    says: str
    serves: str
    missing: str
    ask: str
    cells: tuple[Cell, ...]
    source: str
    certainty: str


class SwitchedOff(Struct, frozen=True):
    """A row that is switched off: its outcome, and the value that switches it."""

    id: str
    title: str
    switch: str
    source: str


class DrawnTable(Struct, frozen=True):
    """The table with the gaps, unreached rows and unused outcomes that a walk found."""

    columns: tuple[Column, ...]
    rows: tuple[DrawnRow, ...]
    off: tuple[SwitchedOff, ...]
    gaps: tuple[str, ...]
    unreachable: tuple[str, ...]
    unanswered: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether every site has a row, and every row a site."""
        return not (self.gaps or self.unreachable or self.unanswered)


def drawn_table(chosen: Chosen) -> DrawnTable:
    """Return the chosen rulebook's decision table; caches the walk under its digest."""
    book = chosen.book
    asked = {condition.fact for row in book.table for condition in row.when}
    columns = tuple(
        Column(fact.name, head_of_fact(fact.name), capital(fact.says))
        for fact in DECIDING_FACTS
        if fact.name in asked
    )
    outcomes = {outcome.key: outcome for outcome in book.outcomes}
    report = table_report(book)
    edition = next(part for part in chosen.stack if part.key == book.key)
    return DrawnTable(
        columns=columns,
        rows=tuple(
            _row(n, row, outcomes[row.outcome], columns, book)
            for n, row in enumerate(book.table, 1)
        ),
        off=tuple(_off(edition, book)),
        gaps=tuple(_gap_in_words(gap) for gap in report.gaps),
        unreachable=report.unreachable,
        unanswered=tuple(outcomes[key].title for key in report.unanswered),
    )


def _row(
    number: int, row: TableRow, outcome: Outcome, columns: tuple[Column, ...], book: Rulebook
) -> DrawnRow:
    return DrawnRow(
        number=number,
        id=row.id,
        title=outcome.title,
        says=outcome.says,
        serves=outcome.serves,
        missing=outcome.missing,
        ask=outcome.ask,
        cells=tuple(
            Cell(
                column.head,
                tuple(limit_of(c, book) for c in row.when if c.fact == column.fact),
            )
            for column in columns
        ),
        source=str(row.source),
        certainty=SHORT_CERTAINTIES[row.certainty],
    )


def _off(edition: Part, book: Rulebook) -> list[SwitchedOff]:
    live = {row.id for row in book.table}
    titles = {outcome.key: outcome.title for outcome in edition.outcomes}
    return [
        SwitchedOff(row.id, titles[row.outcome], row.switch, str(row.source))
        for row in edition.rows
        if row.id not in live
    ]


def _gap_in_words(gap: str) -> str:
    """Return a gap in words: a kind of site that no row covers."""
    told = []
    for part in gap.split("; "):
        name, _, rest = part.partition(" ")
        told.append(f"{BY_NAME[name].says}: {rest}" if name in BY_NAME else part)
    return "; ".join(told)
