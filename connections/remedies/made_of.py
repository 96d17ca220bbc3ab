"""Facts of a proposed line when other equipment takes its place."""

from msgspec import UNSET

from connections.electrical.phase_sums import scaled_current, scaled_per_phase
from connections.facts.defaults import (
    is_counted,
    is_fully_tested,
    quantity_of,
    rating,
    status_of,
)
from connections.facts.site import Certificate, Site, Unit
from connections.rulebook.book import Rulebook
from connections.rules.figures import kilowatts

TO_BE_CHOSEN = "to be chosen"
"""Placeholder for a type-test reference until the equipment is chosen."""


def proposed(site: Site) -> list[tuple[int, Unit]]:
    """Counted proposed lines of inverters or machines with known number and rating."""
    return [
        (i, unit)
        for i, unit in enumerate(site.units)
        if is_counted(unit)
        and status_of(unit) == "proposed"
        and rating(unit.rated_w) is not None
        and (quantity_of(unit) or 0) > 0
    ]


def standard_for(rated_w: int, phases: int, book: Rulebook) -> str:
    """The standard that applies to fully type-tested equipment of a rating."""
    if "g98.unit_limit" not in book.values:
        return "G99"
    limit = scaled_current(book.whole("g98.unit_limit"), book.whole("voltage.nominal"))
    return "G98" if scaled_per_phase(rated_w, phases) <= limit else "G99"


def full_test(standard: str) -> tuple[Certificate, ...]:
    """The certificate of fully type-tested equipment that is not chosen yet."""
    return (Certificate(standard=standard, reference=TO_BE_CHOSEN, type_tested="full"),)


def other_equipment(unit: Unit, rated_w: int, book: Rulebook) -> dict[str, object]:
    """Facts of a unit of another rating in place of `unit`, tested as that one is.

    Apparent power, current, maker and test become unknown.
    """
    facts: dict[str, object] = {
        "rated_w": rated_w,
        "design_w": UNSET,
        "limited_by": UNSET,
        **{
            name: UNSET
            for name in ("maker", "model", "rated_va", "rated_ma", "q_var", "serials")
            if getattr(unit, name) is not UNSET
        },
    }
    if is_fully_tested(unit):
        facts["standards"] = full_test(standard_for(rated_w, len(unit.phases), book))
    return facts


def each(unit: Unit) -> str:
    """ " each" for a line of several units."""
    return " each" if (quantity_of(unit) or 1) > 1 else ""


def called(unit: Unit) -> str:
    """A line in words: its id with its number and rating."""
    n = quantity_of(unit) or 1
    times = f"{n} x " if n > 1 else ""
    return f"{unit.id} ({times}{kilowatts(rating(unit.rated_w))})"
