"""Changes that local entries would make to the rulebooks of their areas, in sentences."""

import datetime as dt
from collections.abc import Iterable, Sequence

from connections.rulebook.difference.finding import difference
from connections.rulebook.load import load_books, resolve
from connections.rulebook.local_text import Entry
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import Part
from sites.rulebook.reading.local_entries import area_name, parts_with


def rule_changes(
    before: Sequence[Part], entries: Sequence[tuple[str, Entry]], areas: Iterable[str], on: dt.date
) -> list[tuple[str, tuple[str, ...]]]:
    """Return for each area the changes on a day, in sentences; omit areas without any.

    Args:
        before: the layers in force; `entries` would replace them.
        areas: ids of areas; empty stands for no particular area.
    """
    books = load_books()
    nations = {area.id: area.nation or None for area in books.areas}
    after = parts_with(entries)
    found = []
    for area in areas:
        try:
            was, now = (
                resolve(books, on=on, area=area, nation=nations.get(area), local=parts)
                for parts in (before, after)
            )
        except RulebookError:  # no edition holds there on that day
            continue
        told = difference(was, now)
        if told.changes:
            found.append((area_name(area), told.sentences))
    return found
