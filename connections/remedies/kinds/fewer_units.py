"""Remedy: fewer units of a proposed line, or none."""

from collections.abc import Iterator

from connections.facts.defaults import is_counted, quantity_of
from connections.facts.site import Unit
from connections.remedies.edit import Edit
from connections.remedies.largest import worth_asking
from connections.remedies.made_of import called, proposed
from connections.remedies.option import Option, Start, option
from connections.rules.figures import plural


def fewer_units(start: Start) -> Iterator[Option]:
    """The largest number of each proposed line that passes; 0 only where another line is left."""
    alone = sum(1 for unit in start.site.units if is_counted(unit)) == 1
    for i, unit in proposed(start.site):
        now = quantity_of(unit) or 0

        def edited(quantity: int, i: int = i, unit: Unit = unit) -> Edit:
            return _with(start, i, unit, quantity)

        for quantity in worth_asking(start, edited, now, least=1 if alone else 0):
            what = (
                f"{plural(quantity, 'unit')} instead of {now} in {called(unit)}"
                if quantity
                else f"leaving out {called(unit)} and what sits behind it"
            )
            name = f"{plural(quantity, 'unit')} of {unit.id}" if quantity else f"Without {unit.id}"
            found = option(start, "fewer-units", what, edited(quantity), name=name)
            if found is not None:
                yield found


def _with(start: Start, i: int, unit: Unit, quantity: int) -> Edit:
    edit = Edit(start.site)
    if quantity == 0:
        edit.drop_parts(unit.id)
        edit.take_out(i)
        return edit
    now = quantity_of(unit) or 1
    edit.unit(i, quantity=quantity)
    edit.share_parts(unit.id, {unit.id: quantity}, now)
    return edit
