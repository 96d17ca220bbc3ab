"""The values of a frozen pack one by one, for whoever types them into a form of another's."""

from collections.abc import Iterator

from msgspec import Struct

from connections.facts.decision import Decision
from connections.facts.defaults import status_of
from connections.pack.case import Case
from connections.pack.content import Cell, Facts, Pack
from connections.pack.items.declared import BY_ID, COLUMNS
from connections.pack.needs import row_name, rows_of
from connections.rulebook.book import Rulebook


class Copied(Struct, frozen=True):
    """One value: the data item, its row ("bat-1", empty for an item of the case), label and unit.

    `text` None is "not known".
    """

    item: str
    of: str
    label: str
    unit: str
    text: str | None


def copied(pack: Pack, decision: Decision, book: Rulebook) -> tuple[Copied, ...]:
    """Every value of a pack, as it prints it; `decision` and `book` are those it was made with.

    First the items that a case has once, in the order of printing, then those of its rows.
    """
    return (*_once(pack), *_of_rows(pack, decision, book))


def _once(pack: Pack) -> Iterator[Copied]:
    seen: set[str] = set()
    for section in pack.technical.sections:
        for block in section.blocks:
            for item in block.items if isinstance(block, Facts) else ():
                if item.id not in seen:
                    seen.add(item.id)
                    # Printed under its block, a label may be short: here it stands alone.
                    label = BY_ID[item.id].label if item.id in BY_ID else item.label
                    yield Copied(item.id, "", label, item.unit, _text(item.value, pack))


def _of_rows(pack: Pack, decision: Decision, book: Rulebook) -> Iterator[Copied]:
    site = pack.technical.site
    case = Case(
        site=site,
        decision=decision,
        book=book,
        kind=pack.procedure.kind,
        subject=frozenset(unit.id for unit in site.units if status_of(unit) == "proposed"),
        prepared_on=pack.prepared_on,
    )
    for column in COLUMNS:
        for row in rows_of(case, column.table):
            name = row_name(column, row)
            text = _text(column.read(case, row), pack)
            yield Copied(column.id, name, f"{column.label}, {name}", "", text)


def _text(cell: Cell, pack: Pack) -> str | None:
    if cell.personal:
        return pack.personal.values.get(cell.personal) if pack.personal is not None else None
    return cell.text
