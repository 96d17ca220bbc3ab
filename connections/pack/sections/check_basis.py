"""Figures of the electrical checks beside the facts: limits, assumed and engineers' figures."""

from collections.abc import Sequence

from msgspec import Struct

from connections.facts.site import Site
from connections.pack.case import Case
from connections.pack.content import Cell, Column, PrintedRow, Table
from connections.pack.figures import listed, short_date
from connections.rulebook.book import Rulebook, Value
from connections.rules.checks.basis.types import FROM_WORDS, Check, Input

BASIS = "checks.basis"
_NUMBERED = {"rulebook": "limit", "assumed": "assumed", "overridden": "engineer's"}
"""Origins of figures that get a number, and the word before it."""


class _Figure(Struct, frozen=True):
    """A figure that checks take: its name, value, kind and source."""

    name: str
    value: str
    what: str
    source: str


class Basis:
    """The numbered figures of all checks of a site, in the order in which checks take them."""

    def __init__(self, case: Case, checks: Sequence[Check]) -> None:
        self._site, self._book = case.site, case.book
        self._numbers: dict[_Figure, int] = {}
        for check in checks:
            for one in check.inputs:
                if one.origin in _NUMBERED:
                    figure = self._figure(one)
                    self._numbers.setdefault(figure, len(self._numbers) + 1)

    def rests_on(self, check: Check) -> str:
        """Words on the basis of a check: facts, and figures by their number."""
        found: dict[str, list[int]] = {}
        for one in check.inputs:
            word = _NUMBERED.get(one.origin)
            if word is not None:
                found.setdefault(word, []).append(self._numbers[self._figure(one)])
        said = ["facts"] if any(one.origin == "site" for one in check.inputs) else []
        for word in _NUMBERED.values():
            if word in found:
                numbers = [str(n) for n in sorted(set(found[word]))]
                said.append(f"{word} {listed(numbers)}")
        return ", ".join(said) or "the rulebook"

    def table(self) -> Table | None:
        """Table of the figures with kind and source; None where there are none."""
        if not self._numbers:
            return None
        return Table(
            id=BASIS,
            title="Figures that the checks take",
            says="What is assumed holds until somebody states it; an engineer's figure stands in "
            "place of one that would be assumed. Facts of the site stand in the pack.",
            columns=(
                Column("No.", 6),
                Column("Figure", 35),
                Column("Value", 15),
                Column("What it is", 14),
                Column("Source, or reason", 30),
            ),
            rows=tuple(
                PrintedRow(
                    (
                        Cell(text=str(number)),
                        Cell(text=figure.name),
                        Cell(text=figure.value),
                        Cell(text=figure.what),
                        Cell(text=figure.source),
                    )
                )
                for figure, number in self._numbers.items()
            ),
        )

    def _figure(self, one: Input) -> _Figure:
        value = self._book.values.get(one.where)
        what = FROM_WORDS[one.origin]
        if value is None:
            name = _of_a_unit(one.name, self._site)
            name = f"{name[:1].upper()}{name[1:]}"
            return _Figure(name, one.value, what, "Not stated; what is usual is taken")
        name = value.says.rstrip(".")
        if one.origin == "overridden":
            reason = one.reason.rstrip(".")
            source = f"{reason}. In place of {value.written}: {_source(value, self._book)}"
            return _Figure(name, one.value, what, source)
        return _Figure(name, one.value, what, _source(value, self._book))


def _source(value: Value, book: Rulebook) -> str:
    reading = book.reading_of(value)
    said = f"read by the firm, {short_date(reading.on)}" if reading else value.certainty
    return f"{value.source} ({said})"


def _of_a_unit(name: str, site: Site) -> str:
    """A name that holds for every like unit: "charging power of a unit"."""
    for unit in site.units:
        if name.endswith(f" {unit.id}"):
            return f"{name.removesuffix(unit.id)}a unit"
    return name
