"""Remedy: move single-phase units to other phases, or spread them over a three-phase supply."""

from collections.abc import Iterator

from msgspec import structs

from connections.facts.defaults import rating
from connections.facts.site import Phase
from connections.remedies.edit import Edit
from connections.remedies.kinds.assigning import assigned, best_way, free_lines, moved_in_words
from connections.remedies.made_of import other_equipment
from connections.remedies.option import Option, Start, option
from connections.rules.figures import listed

PHASES: tuple[Phase, ...] = ("L1", "L2", "L3")

_SUPPLY_NOTE = (
    "The network operator provides such a supply at a price and in a time of its own, and is asked "
    "for it first."
)


def other_phases(start: Start) -> Iterator[Option]:
    """Put proposed single-phase units on the best phases of the present supply."""
    way = best_way(start)
    if way is None:
        return
    lines = free_lines(start.site)
    found = option(
        start,
        "other-phases",
        moved_in_words(lines, way),
        assigned(start, lines, way),
        name=moved_in_words(lines, way),
        competent=True,
    )
    if found is not None:
        yield found


def three_phase_supply(start: Start) -> Iterator[Option]:
    """A three-phase supply: single-phase units spread over it, or three-phase ones on it."""
    if start.site.supply.phases == 3:
        return
    edit = Edit(start.site)
    edit.phases_of_supply(3)
    lines = free_lines(start.site)
    on_three = structs.replace(start, site=edit.site)
    way = best_way(on_three)
    spread = None
    if way is not None:
        spread = option(
            start,
            "three-phase-supply",
            f"a three-phase supply with {moved_in_words(lines, way)}",
            assigned(on_three, lines, way, edit),
            name=f"Three-phase supply, {moved_in_words(lines, way)}",
            notes=(_SUPPLY_NOTE,),
            competent=True,
        )
    else:
        spread = option(
            start,
            "three-phase-supply",
            "a three-phase supply",
            edit,
            name="Three-phase supply",
            notes=(_SUPPLY_NOTE,),
            competent=True,
        )
    if spread is not None:
        yield spread
    if not lines:
        return
    widened = Edit(start.site)
    widened.phases_of_supply(3)
    for i, unit in lines:
        # A three-phase unit is another product, with its own maker and test.
        wide_unit = structs.replace(unit, phases=PHASES)
        rated_w = rating(unit.rated_w) or 0
        facts = other_equipment(wide_unit, rated_w, start.rules.book)
        widened.unit(i, phases=PHASES, **facts)
    wide = option(
        start,
        "three-phase-supply",
        f"a three-phase supply with three-phase units in place of "
        f"{listed([unit.id for _, unit in lines])}",
        widened,
        name="Three-phase supply and units",
        notes=(_SUPPLY_NOTE,),
        competent=True,
    )
    if wide is None:
        return
    order = start.rules.book_order
    if (
        spread is None
        or order[wide.proof.decided.procedure] < order[spread.proof.decided.procedure]
    ):
        yield wide
