"""Deciding under other editions than the one of the examples, in a few words."""

import datetime as dt
from functools import cache
from pathlib import Path
from typing import Any

import msgspec

from connections.facts.decision import Decision
from connections.facts.site import Site
from connections.rulebook.book import Rulebook
from connections.rulebook.load import Books, load_books, load_edition, resolve
from connections.rules.decide import Decided, decide
from connections.rules.writing import write_decision
from tests.site_files import file, read, unit

SAMPLE = Path(__file__).parents[1] / "rulebook/fixtures/kva"


@cache
def book_of(nation: str, on: dt.date, area: str = "") -> Rulebook:
    """The shipped rulebook of a nation on a day."""
    return resolve(load_books(), on=on, area=area, nation=nation)


@cache
def kva_book() -> Rulebook:
    """The sample on a kVA basis, an invented country."""
    shipped = load_books()
    edition = load_edition(SAMPLE, shipped.sources, SAMPLE.parent)
    books = Books(shipped.sources, shipped.areas, (edition,), ())
    return resolve(books, on=dt.date(2026, 11, 24))


def decided_under(book: Rulebook, *units: dict[str, Any], phases: int = 1, **facts: Any) -> Decided:
    """What a rulebook decides of a site, on the rulebook's day."""
    made: Site = read(file(*units, phases=phases, **facts))
    return decide(msgspec.structs.replace(made, on_date=book.on_date), book)


def written_under(
    book: Rulebook, *units: dict[str, Any], phases: int = 1, **facts: Any
) -> Decision:
    """The same as a decision file, with its trace."""
    return write_decision(decided_under(book, *units, phases=phases, **facts), explain=True)


def certified(id: str = "inv-1", rated_w: int | None = 3680, **facts: Any) -> dict[str, Any]:
    """A unit with a certificate to EN 50549-1."""
    return unit(id, rated_w, **{"standard": "EN 50549-1", **facts})
