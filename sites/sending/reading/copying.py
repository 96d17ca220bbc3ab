"""The copy sheet of a case, and the order of an operator's own form."""

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct

from connections.pack.copying import Copied, copied
from connections.pack.items.declared import COLUMNS, ITEMS
from connections.pack.items.types import GROUPS
from connections.rulebook.keeping import rulebook_from
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import annex_of, pack_of
from sites.sending.models import CopyTick, FormItem
from sites.sending.reading.operators import operator_of


class CopyRow(Struct, frozen=True):
    """A value to copy: its number on the operator's form, and whether it is copied."""

    key: str
    number: str
    label: str
    value: str
    unit: str
    done: bool


class CopySheet(Struct, frozen=True):
    """The copy sheet of a pack. `rest` are values that the operator's form does not ask for."""

    pack: FrozenPack
    operator: str
    ordered: bool
    rows: tuple[CopyRow, ...]
    rest: tuple[CopyRow, ...]

    @property
    def left(self) -> int:
        """How many values are still to be copied."""
        return sum(not row.done for row in self.rows)


def copy_sheet(frozen: FrozenPack) -> CopySheet:
    """The values of an issued pack in the order of the operator's form, where the firm entered it.

    Without that order they stand as in the pack. Raises PackError for stored content that was
    changed.
    """
    pack, annex = pack_of(frozen), annex_of(frozen)
    operator = operator_of(pack.technical.decided.area)
    values: tuple[Copied, ...] = ()
    if annex is not None:
        book = rulebook_from(bytes(frozen.rulebook.content), pack.technical.site.on_date)
        values = copied(pack, annex.technical.decision, book)
    ticked = set(CopyTick.objects.filter(pack=frozen).values_list("item", flat=True))
    order = list(FormItem.objects.filter(operator=operator))
    wanted = {each.item for each in order}
    by_item: dict[str, list[Copied]] = {}
    for value in values:
        by_item.setdefault(value.item, []).append(value)
    in_order = [
        _row(value, each.number, ticked) for each in order for value in by_item.get(each.item, ())
    ]
    rest = [_row(value, "", ticked) for value in values if value.item not in wanted]
    rows, rest = (in_order, rest) if order else (rest, [])
    return CopySheet(frozen, operator, bool(order), tuple(rows), tuple(rest))


def _row(value: Copied, number: str, ticked: set[str]) -> CopyRow:
    key = f"{number}|{value.item}|{value.of}"
    return CopyRow(key, number, value.label, value.text or "", value.unit, key in ticked)


class ItemChoice(Struct, frozen=True):
    """A data item of ours that a form may ask for, with its group and its numbers there."""

    item: str
    group: str
    label: str
    numbers: str


def item_choices(operator: str) -> tuple[ItemChoice, ...]:
    """Every data item of ours, by groups, with its numbers on an operator's form."""
    numbers: dict[str, list[str]] = {}
    for row in FormItem.objects.filter(operator=operator):
        numbers.setdefault(row.item, []).append(row.number)
    found = [(each.group, each.id, each.label) for each in ITEMS]
    found += [(each.group, each.id, each.label) for each in COLUMNS]
    order = list(GROUPS)
    found.sort(key=lambda each: order.index(each[0]))
    return tuple(
        ItemChoice(item, GROUPS[group], label, ", ".join(numbers.get(item, ())))
        for group, item, label in found
    )


def in_form_order(numbers: Mapping[str, Iterable[str]]) -> list[tuple[str, str]]:
    """Pairs of a number and an item, as the form has them: 2 before 10, 3.2 before 3.10."""
    pairs = [(number, item) for item, several in numbers.items() for number in several]
    return sorted(pairs, key=lambda pair: _natural(pair[0]))


def _natural(number: str) -> list[tuple[int, int, str]]:
    return [
        (0, int(part), "") if part.isdigit() else (1, 0, part)
        for part in re.findall(r"[0-9]+|[A-Za-z]+", number)
    ]
