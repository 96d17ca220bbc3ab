"""Check that the decision table answers every site and that every row can be reached.

Splits the space of facts at the table's own limits: each numeric fact into its limits and the
ranges between, each other fact into its words. Walks the table from the top, splits a fact only
where undecided rows ask about it, and skips states already seen. The shipped table takes
milliseconds.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from msgspec import Struct

from connections.facts.deciding import BY_NAME, PER_PHASE, UNITS_OF
from connections.rulebook.book import Condition, Rulebook
from connections.rulebook.words import WORDS

NEVER_ABOVE = (
    ("largest_rated", "largest_phase_sum"),
    ("generation_phase_sum", "largest_phase_sum"),
    ("storage_phase_sum", "largest_phase_sum"),
    ("largest_module", "total"),
)
"""Pairs of facts; the first never exceeds the second, on any site."""


class Cell(Struct, frozen=True):
    """One value of a fact, or every number between two limits.

    `low` and `high` are in mA, W or a count, and excluded; None is an open end. Equal ends are that
    single number.
    """

    low: Fraction | None = None
    high: Fraction | None = None
    word: str | bool | None = None


class TableReport(Struct, frozen=True):
    """The result of the walk.

    `gaps` holds one line for each kind of site that no row covers, `unreachable` the ids of rows
    that no site can reach, `unanswered` the outcomes that no reachable row gives.
    """

    gaps: tuple[str, ...]
    unreachable: tuple[str, ...]
    unanswered: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether the walk found no fault."""
        return not (self.gaps or self.unreachable or self.unanswered)


_Row: TypeAlias = tuple[int, tuple[Condition, ...]]
"""A row that may still hold: its index, and its undecided conditions."""

_Known: TypeAlias = dict[str, Cell]


def check_table(book: Rulebook) -> TableReport:
    """Walk the decision table of a resolved rulebook."""
    walk = _Walk(book)
    walk.visit(tuple((n, row.when) for n, row in enumerate(book.table)), {})
    reached = {book.table[n].outcome for n in walk.reached}
    return TableReport(
        gaps=tuple(walk.gaps),
        unreachable=tuple(row.id for n, row in enumerate(book.table) if n not in walk.reached),
        unanswered=tuple(o.key for o in book.outcomes if o.key not in reached),
    )


class _Walk:
    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.reached: set[int] = set()
        self.gaps: list[str] = []
        self.seen: set[tuple[object, ...]] = set()

    def visit(self, rows: tuple[_Row, ...], known: _Known) -> None:
        """Walk the sites that match `known`; `rows` may still hold for them."""
        if not rows:
            self.gaps.append(_described(known))
            return
        state = (rows, _bounds_still_needed(rows, known))
        if state in self.seen:
            return
        self.seen.add(state)
        number, pending = rows[0]
        if not pending:
            self.reached.add(number)
            return
        fact = pending[0].fact
        for cell in self._cells(fact, rows):
            if _possible(fact, cell, known):
                self.visit(self._decided(rows, fact, cell), {**known, fact: cell})

    def _decided(self, rows: tuple[_Row, ...], fact: str, cell: Cell) -> tuple[_Row, ...]:
        """The rows that may still hold, up to the first that does."""
        left: list[_Row] = []
        for number, pending in rows:
            mine = [c for c in pending if c.fact == fact]
            if all(self._holds(c, cell) for c in mine):
                others = tuple(c for c in pending if c.fact != fact)
                left.append((number, others))
                if not others:
                    break
        return tuple(left)

    def _cells(self, fact: str, rows: tuple[_Row, ...]) -> Iterator[Cell]:
        kind = BY_NAME[fact].kind
        if kind == "yes-no":
            yield from (Cell(word=True), Cell(word=False))
        elif kind == "word":
            yield from (Cell(word=word) for word in WORDS[fact])
        else:
            asked = (c for _, pending in rows for c in pending if c.fact == fact)
            limits = sorted({self._limit(condition) for condition in asked})
            yield from _counts(limits) if kind == "count" else _split(limits)

    def _limit(self, condition: Condition) -> Fraction:
        """The limit of a numeric condition, in mA, W or a count."""
        if not condition.against:
            assert isinstance(condition.literal, int)
            return Fraction(condition.literal)
        value = self.book.values[condition.against]
        amount = Fraction(self.book.whole(condition.against))
        if BY_NAME[condition.fact].kind in PER_PHASE and value.unit in ("W", "VA"):
            return amount * 10**6 / self.book.whole("voltage.nominal")
        return amount

    def _holds(self, condition: Condition, cell: Cell) -> bool:
        kind = BY_NAME[condition.fact].kind
        inclusive = condition.reading and self.book.text(condition.reading) == "inclusive"
        if kind in ("yes-no", "word"):
            if inclusive:
                return True
            wanted = self.book.amount(condition.against) if condition.against else condition.literal
            return cell.word in wanted if isinstance(wanted, tuple) else cell.word == wanted
        limit = self._limit(condition)
        op = "at_most" if inclusive else condition.op
        exactly = cell.low == cell.high == limit
        beneath = not exactly and cell.high is not None and cell.high <= limit
        return {
            "at_most": beneath or exactly,
            "below": beneath,
            "at_least": not beneath,
            "above": not beneath and not exactly,
            "is": exactly,
        }[op]


def _split(limits: list[Fraction]) -> Iterator[Cell]:
    """Every limit, and the ranges below, between and above them; nothing is negative."""
    before: Fraction | None = None
    for limit in limits:
        if limit > 0:
            yield Cell(low=before, high=limit)
        yield Cell(low=limit, high=limit)
        before = limit
    yield Cell(low=before)


def _counts(limits: list[Fraction]) -> Iterator[Cell]:
    """Every limit and the whole numbers next to it, which represent those further away."""
    for number in sorted({limit + step for limit in limits for step in (-1, 0, 1)}):
        if number >= 0:
            yield Cell(low=number, high=number)


def _possible(fact: str, cell: Cell, known: _Known) -> bool:
    for small, large in NEVER_ABOVE:
        if fact == small and large in known and _above(cell, known[large]):
            return False
        if fact == large and small in known and _above(known[small], cell):
            return False
    return True


def _above(first: Cell, second: Cell) -> bool:
    """Whether every number of the first cell is above every one of the second."""
    if first.low is None or second.high is None:
        return False
    both_single = first.low == first.high and second.low == second.high
    return first.low > second.high or (first.low == second.high and not both_single)


def _bounds_still_needed(rows: tuple[_Row, ...], known: _Known) -> tuple[tuple[str, Cell], ...]:
    """Known cells of facts that bound another fact which the rows still ask about."""
    asked = {c.fact for _, pending in rows for c in pending}
    return tuple(
        (one, known[one])
        for pair in NEVER_ABOVE
        for one, other in (pair, pair[::-1])
        if one in known and other in asked
    )


def _described(known: _Known) -> str:
    """A kind of site in one line, facts in the order of asking."""
    return "; ".join(f"{fact} {_in_words(fact, cell)}" for fact, cell in known.items()) or "any"


def _in_words(fact: str, cell: Cell) -> str:
    if isinstance(cell.word, bool):
        return "yes" if cell.word else "no"
    if cell.word is not None:
        return cell.word
    kind = BY_NAME[fact].kind
    unit = "mA" if kind in PER_PHASE else UNITS_OF.get(kind, "")
    unit = unit and f" {unit}"
    if cell.low == cell.high:
        return f"exactly {_number(cell.low)}{unit}"
    if cell.high is None:
        return f"above {_number(cell.low)}{unit}"
    if cell.low is None:
        return f"below {_number(cell.high)}{unit}"
    return f"between {_number(cell.low)} and {_number(cell.high)}{unit}"


def _number(amount: Fraction | None) -> str:
    return str(amount) if amount is None or amount.denominator == 1 else f"{float(amount):.3f}"
