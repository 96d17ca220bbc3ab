"""Facts as printed cells: known, assumed, or not known."""

import datetime as dt
from collections.abc import Callable, Mapping

from msgspec import UNSET, UnsetType

from connections.facts.declaring import declared
from connections.facts.defaults import (
    certificates_of,
    first_day,
    is_month,
    kind_of,
    mode_of,
    rating,
    status_of,
)
from connections.facts.site import Certificate, Unit
from connections.pack.content import Cell
from connections.pack.figures import short_date, two, when_words

NOT_KNOWN = Cell()
NONE = Cell(text="–")
"""Marks a value that does not exist, as against one that is not known."""

SOURCES = {
    "pv": "PV",
    "storage": "storage",
    "pv+storage": "PV and storage",
    "wind": "wind",
    "hydro": "water",
    "chp": "combined heat and power",
    "vehicle": "vehicle",
    "other": "other",
}
KINDS = dict(declared(Unit)["kind"].choices)
MODES = dict(declared(Unit)["operating_mode"].choices)
IN_PARALLEL = {
    "long-term-parallel": "long-term",
    "short-term-parallel": "short-term",
    "switched": "never: switched",
}
TESTED = dict(declared(Certificate)["type_tested"].choices)
LIMITED = {"maker": "by the maker", "software": "by software", "none": "not limited"}


def words(value: str | None | UnsetType, names: Mapping[str, str] | None = None) -> Cell:
    """Text as typed, or the printed name of a word; unknown if left out, null or empty."""
    if not isinstance(value, str) or not value.strip():
        return NOT_KNOWN
    return Cell(text=names.get(value, value) if names else value)


def lines(value: tuple[str, ...] | None | UnsetType) -> Cell:
    """Lines of text below each other."""
    if not isinstance(value, tuple):
        return NOT_KNOWN
    kept = [line for line in value if line.strip()]
    return Cell(text="\n".join(kept)) if kept else NOT_KNOWN


def of_certificates(unit: Unit, read: Callable[[Certificate], Cell]) -> Cell:
    """One line for each certificate of a unit; unknown where none of them says it."""
    found = [read(one).text for one in certificates_of(unit)]
    if not any(found):
        return NOT_KNOWN
    return Cell(text="\n".join(text or "not known" for text in found))


def standards(unit: Unit) -> Cell:
    """What each certificate of a unit is to."""
    return of_certificates(unit, lambda one: words(one.standard))


def type_tested(unit: Unit) -> Cell:
    """How far each certificate of a unit goes."""
    return of_certificates(unit, lambda one: words(one.type_tested, TESTED))


def references(unit: Unit) -> Cell:
    """The reference of each certificate, with the rating that it is for and its last day."""
    return of_certificates(unit, _reference)


def _reference(one: Certificate) -> Cell:
    said = words(one.reference)
    watts, until = rating(one.rated_w), one.valid_until
    more = [
        *([f"for {two(watts, 3)} kW"] if watts else []),
        *([f"until {short_date(until)}"] if isinstance(until, dt.date) else []),
    ]
    return Cell(text=f"{said.text} ({', '.join(more)})") if said.text and more else said


def yes_no(value: bool | None | UnsetType, yes: str = "yes", no: str = "no") -> Cell:
    """A yes-no fact."""
    if not isinstance(value, bool):
        return NOT_KNOWN
    return Cell(text=yes if value else no)


def day(value: dt.date | None | UnsetType) -> Cell:
    """A date."""
    return Cell(text=short_date(value)) if isinstance(value, dt.date) else NOT_KNOWN


def day_or_month(value: str | None | UnsetType) -> Cell:
    """A day or a month."""
    if isinstance(value, str) and is_month(value):
        return Cell(text=when_words(value))
    return day(first_day(value))


def whole(value: int | None | UnsetType, decimals: int = 0) -> Cell:
    """A number in units of 10^-decimals, with two of them at most; 0 is a number."""
    return Cell(text=two(value, decimals)) if isinstance(value, int) else NOT_KNOWN


def rated(value: int | None | UnsetType, decimals: int = 3) -> Cell:
    """A rating; 0 is unknown."""
    return whole(rating(value), decimals)


def assumed(cell: Cell) -> Cell:
    """The cell, marked as assumed."""
    return Cell(text=cell.text, assumed=True)


def status_cell(unit: Unit) -> Cell:
    """existing, proposed or removed; proposed is assumed where nothing is said."""
    cell = Cell(text=status_of(unit))
    return cell if isinstance(unit.status, str) else assumed(cell)


def kind_cell(unit: Unit) -> Cell:
    """Kind of the unit; an inverter is assumed where nothing is said."""
    found = words(kind_of(unit) if unit.kind is not None else None, KINDS)
    return assumed(found) if unit.kind is UNSET else found


def mode_cell(unit: Unit, names: Mapping[str, str] = MODES) -> Cell:
    """The operating mode; long-term parallel is assumed where nothing is said."""
    found = words(mode_of(unit) if unit.operating_mode is not None else None, names)
    return assumed(found) if unit.operating_mode is UNSET else found


def quantity_cell(unit: Unit) -> Cell:
    """Number of units in the line; one is assumed where nothing is said."""
    if unit.quantity is UNSET:
        return assumed(Cell(text="1"))
    return whole(unit.quantity)


def island_cell(unit: Unit) -> Cell:
    """Whether the unit can run as an island; no is assumed where nothing is said."""
    return assumed(Cell(text="no")) if unit.can_island is UNSET else yes_no(unit.can_island)


def limited_cell(unit: Unit) -> Cell:
    """The limit on the design capacity; none is assumed where nothing is said."""
    if unit.limited_by is UNSET:
        return assumed(Cell(text=LIMITED["none"]))
    return words(unit.limited_by, LIMITED)


def design_cell(unit: Unit) -> Cell:
    """Design capacity of one unit [kW]; the registered one is assumed where nothing is said."""
    if unit.design_w is UNSET:
        standing = rated(unit.rated_w)
        return assumed(standing) if standing.text is not None else NOT_KNOWN
    return rated(unit.design_w)
