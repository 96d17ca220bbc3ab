"""Remedy: a smaller unit in place of a proposed one, or the same unit limited by its maker.

A smaller unit is another product: its design capacity is its rating. A factory-limited unit keeps
its design capacity; only the maker's people may lift the limit (EREC G99 Issue 2, section 4,
intrinsic design capacity).
"""

from collections.abc import Iterator

from connections.facts.defaults import design_w, rating
from connections.facts.site import Unit
from connections.remedies.edit import Edit
from connections.remedies.largest import least_w, worth_asking
from connections.remedies.made_of import called, each, other_equipment, proposed
from connections.remedies.option import Option, Start, option
from connections.rules.figures import kilowatts


def smaller_units(start: Start) -> Iterator[Option]:
    """The largest rating of a replacement for each proposed unit."""
    book = start.rules.book
    for i, unit in proposed(start.site):

        def edited(rated_w: int, i: int = i, unit: Unit = unit) -> Edit:
            edit = Edit(start.site)
            edit.unit(i, **other_equipment(unit, rated_w, book))
            return edit

        # Where the design capacity is larger, a unit made for the present rating is also smaller.
        now = rating(unit.rated_w) or 0
        above = now + 1 if (design_w(unit) or 0) > now else now
        for rated_w in worth_asking(start, edited, above, least=least_w(now)):
            found = option(
                start,
                "smaller-unit",
                f"a unit made for {kilowatts(rated_w)}{each(unit)} in place of {called(unit)}",
                edited(rated_w),
                name=f"{unit.id} of {kilowatts(rated_w)}",
            )
            if found is not None:
                yield found


def factory_limits(start: Start) -> Iterator[Option]:
    """The largest rating that the maker could limit each proposed unit to."""
    for i, unit in proposed(start.site):
        design = design_w(unit)
        if design is None:
            continue

        def edited(rated_w: int, i: int = i, unit: Unit = unit, design: int = design) -> Edit:
            edit = Edit(start.site)
            edit.unit(
                i,
                rated_w=rated_w,
                design_w=design,
                limited_by="maker",
                **{n: None for n in ("rated_va", "rated_ma") if rating(getattr(unit, n))},
            )
            return edit

        now = rating(unit.rated_w) or 0
        for rated_w in worth_asking(start, edited, now, least=least_w(design)):
            found = option(
                start,
                "factory-limit",
                f"{called(unit)} held to {kilowatts(rated_w)}{each(unit)} by its maker",
                edited(rated_w),
                name=f"{unit.id} held to {kilowatts(rated_w)}",
                notes=(
                    "The limit must be one that only the maker's people can lift, and the type "
                    "test must have been made at it.",
                ),
            )
            if found is not None:
                yield found
