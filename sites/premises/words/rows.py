"""Words for rows of a premises, as its page shows them."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from connections.facts import site as types
from connections.facts.declaring import declared
from sites.house.boxes.amounts import with_unit
from sites.house.boxes.fields import Box
from sites.house.boxes.sheet_form import SheetForm
from sites.house.two_columns import fact_in
from sites.premises.forms.plant import (
    ArrayForm,
    BoardForm,
    CableForm,
    CapForm,
    CellsForm,
    ClampForm,
    LimitForm,
    LoadForm,
    OverrideForm,
    ProposedUnitForm,
    ProtectionForm,
    written_amount,
    written_figure,
)
from sites.premises.forms.premises import CustomerForm, PremisesForm, SupplyForm
from sites.premises.models import Limit, Unit
from sites.premises.reading.site_rows import PlantRows, SiteRows

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class UnitWords:
    """A line of units in words: name, whether it goes, rating, and the rest in short."""

    label: str
    goes: bool
    source: str
    quantity: str
    rated: str
    phases: str
    tested: str
    rest: Pairs


@dataclass(frozen=True)
class PlantWords:
    """Existing or proposed plant in words."""

    units: tuple[UnitWords, ...]
    parts: Pairs
    """Other plant: the head of each part, and its known facts."""

    def __bool__(self) -> bool:
        return bool(self.units or self.parts)


def plant_words(plant: PlantRows, removed: Iterable[UUID] = ()) -> PlantWords:
    """Return units and all other plant in words, in the order of the sheet."""
    gone = set(removed)
    parts: list[tuple[str, str]] = []
    for array in plant.arrays:
        parts.append((f"Panels behind {array.unit_id}", _said(ArrayForm, array, "unit_id")))
    for cells in plant.cells:
        parts.append((f"Cells behind {cells.unit_id}", _said(CellsForm, cells, "unit_id")))
    for limit in plant.limits:
        parts.append((f"{limit.on.capitalize()} limit", _limit(limit)))
    for board in plant.boards:
        parts.append((f"Board {board.label}", _said(BoardForm, board, "label")))
    for device in plant.protection:
        parts.append((device.kind.capitalize(), _said(ProtectionForm, device, "kind")))
    for cable in plant.cables:
        ends = ("from_board", "to_board")
        where = f"Cable from {cable.from_board} to {cable.to_board}"
        parts.append((where, _said(CableForm, cable, *ends)))
    for load in plant.loads:
        parts.append((load.name.capitalize(), _said(LoadForm, load, "name")))
    for clamp in plant.clamps:
        parts.append((f"Clamp {clamp.label}", _said(ClampForm, clamp, "label")))
    return PlantWords(tuple(_unit(unit, unit.key in gone) for unit in plant.units), tuple(parts))


def supply_facts(rows: SiteRows) -> Pairs:
    """Return the supply with the design, the operator's caps, and the overrides, in words."""
    supply = rows.new_supply or rows.supply
    facts = _facts(SupplyForm, supply) if supply is not None else ()
    if rows.new_supply is not None:
        facts = (*facts, ("With this design", _changed_supply(rows)))
    if rows.premises.nearby_asked:
        number = rows.premises.nearby_premises
        said = "number not known" if number is None else str(number or "none")
        facts = (*facts, (declared(types.Nearby)["premises"].label, said))
    caps = tuple(
        (f"Operator's cap on {cap.on}", _limited(CapForm, cap, cap.value, cap.basis, "on"))
        for cap in rows.caps
    )
    figures = tuple(
        (
            f"Own figure: {_text(OverrideForm.base_fields['default'], row.default)}",
            f"{written_figure(row.value, row.default)}; {row.reason}",
        )
        for row in rows.overrides
    )
    return facts + caps + figures


def _changed_supply(rows: SiteRows) -> str:
    now = rows.supply.phases if rows.supply is not None else None
    then = rows.new_supply.phases if rows.new_supply is not None else None
    said = "the supply is changed to what stands here"
    if now is None or now == then:
        return said
    return f"{said}; it is {_text(SupplyForm.base_fields['phases'], now)} now"


def words_of_case(rows: SiteRows) -> Pairs:
    """Return customer, premises and supply numbers in words."""
    customer = next((party for party in rows.parties if party.part == "customer"), None)
    found: list[tuple[str, str]] = []
    if customer is not None and (said := _said(CustomerForm, customer, labels=False)):
        found.append(("Customer", said))
    found += _facts(PremisesForm, rows.premises)
    found += [(f"Supply number, {number.use}", number.value) for number in rows.numbers]
    day = rows.premises.planned_on
    if day is not None:
        found.append((declared(types.Site)["planned_on"].label, f"{day.day} {day:%B} {day.year}"))
    return tuple(found)


_IN_COLUMNS = ("label", "source", "quantity", "rated_w", "phases", "type_tested", "standard")


_TESTED = {"full": "fully type tested", "part": "partly type tested", "no": "not type tested"}


def _unit(unit: Unit, goes: bool) -> UnitWords:
    boxes = ProposedUnitForm.base_fields
    tested = _TESTED.get(unit.type_tested, "")
    if unit.standard:
        tested = f"{tested}, {unit.standard}" if tested else unit.standard
    return UnitWords(
        unit.label,
        goes,
        _text(boxes["source"], unit.source),
        "1" if unit.quantity is None else str(unit.quantity),
        _text(boxes["rated_w"], unit.rated_w) or "not known",
        unit.phases.replace(" ", ", "),
        tested or "not known",
        tuple(
            (label, text)
            for name, (label, text) in _named(ProposedUnitForm, unit)
            if name not in _IN_COLUMNS
        ),
    )


def _limit(limit: Limit) -> str:
    return _limited(LimitForm, limit, limit.value, limit.basis)


def _limited(
    form: type[SheetForm], row: object, value: int | None, basis: str, *left_out: str
) -> str:
    """Return a limit or cap: its figure with unit, then the rest."""
    unit = dict(declared(types.Limit)["basis"].choices)
    amount = written_amount(value, basis)
    figure = f"{amount} {unit[basis]}" if amount else "figure not known"
    rest = _said(form, row, "value", "basis", *left_out)
    return f"{figure}; {rest}" if rest else figure


def _facts(form: type[SheetForm], row: object) -> Pairs:
    """Return label and words of each filled box of a row."""
    return tuple(pair for _name, pair in _named(form, row))


def _said(form: type[SheetForm], row: object, *left_out: str, labels: bool = True) -> str:
    """Return the filled boxes of a row in one line."""
    return "; ".join(
        f"{label[:1].lower()}{label[1:]} {text}" if labels else text
        for name, (label, text) in _named(form, row)
        if name not in left_out
    )


def _named(form: type[SheetForm], row: object) -> list[tuple[str, tuple[str, str]]]:
    found = []
    for name, box in form.base_fields.items():
        if isinstance(box, Box) and box.control not in ("hidden", "tick") and hasattr(row, name):
            text = _text(box, fact_in(row, name))
            if text:
                found.append((name, (str(box.label), text)))
    return found


def _text(box: object, value: object) -> str:
    """Return a fact in words, with its unit."""
    if not isinstance(box, Box):
        return ""
    text = box.shown(box.write(value)) if value not in (None, "") else ""
    return with_unit(text, box.beside) if text else ""
