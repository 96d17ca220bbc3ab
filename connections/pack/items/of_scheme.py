"""Data items of the limitation scheme, the demand, and larger plant."""

from collections.abc import Callable

from connections.facts.declaring import declared
from connections.facts.defaults import clamps_at_supply
from connections.facts.site import Limit, Limits, Loads
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.figures import listed, quantity
from connections.pack.items.types import LARGE, DataItem, item_of, label_of

BASES = {"ma_per_phase": "mA", "w_total": "W", "va_total": "VA"}


def limit_text(value: int, basis: str) -> str:
    """A limit as stated: "16 A per phase", "5 kW in all"."""
    return f"{quantity(value, BASES[basis])} {'per phase' if basis == 'ma_per_phase' else 'in all'}"


def _limit_value(which: str) -> Callable[[Case], Cell]:
    def read(case: Case) -> Cell:
        limit = case.limit(which)
        if limit is None or limit.value is None:
            return NOT_KNOWN
        return Cell(text=limit_text(limit.value, limit.basis))

    return read


def _limit(which: str, field: str) -> Callable[[Case], Cell]:
    def read(case: Case) -> Cell:
        limit = case.limit(which)
        if limit is None:
            return NOT_KNOWN
        value = getattr(limit, field)
        if field == "response_ms":
            return Cell(text=quantity(value, "ms")) if isinstance(value, int) else NOT_KNOWN
        if field == "commissioned_on":
            return cells.day(value)
        if isinstance(value, bool):
            return cells.yes_no(value)
        if field == "ct_position" and cells.words(value) == NOT_KNOWN:
            found = [clamp.id for _place, clamp in clamps_at_supply(case.site, which)]
            return Cell(text=f"at the supply: {listed(found)}") if found else NOT_KNOWN
        return cells.lines(value) if field == "controls" else cells.words(value)

    return read


def _limit_items(which: str) -> tuple[DataItem, ...]:
    title = label_of(Limits, {"import": "import_"}.get(which, which))
    has: Callable[[Case], bool] = lambda case: case.limit(which) is not None  # noqa: E731
    fields = (
        "type_tested",
        "type_test_reference",
        "response_ms",
        "fail_safe",
        "measured_at",
        "controls",
        "ct_position",
        "nets_phases",
        "commissioned_on",
    )
    first = DataItem(
        id=f"limit.{which}.value",
        group="limitation",
        label=title,
        read=_limit_value(which),
        path=f"limits.{which}.value",
        applies=has,
    )
    return (
        first,
        *(
            DataItem(
                id=f"limit.{which}.{field}",
                group="limitation",
                label=label_of(Limit, field, title),
                read=_limit(which, field),
                path=f"limits.{which}.{field}",
                applies=has,
            )
            for field in fields
        ),
    )


def _demand(case: Case) -> Cell:
    loads = case.loads
    return NOT_KNOWN if loads is None else cells.rated(loads.assessed_demand_va)


def _measured(case: Case) -> Cell:
    loads = case.loads
    return (
        NOT_KNOWN
        if loads is None
        else cells.yes_no(loads.measured, **dict(declared(Loads)["measured"].choices))
    )


def _large(case: Case) -> bool:
    return case.procedure in LARGE


def _not_held(case: Case) -> Cell:
    return NOT_KNOWN


LARGER = (
    ("fault", "Contribution to fault current"),
    ("harmonics", "Harmonic emission"),
    ("starting", "Starting and inrush current"),
    ("transformer", "Transformer"),
    ("reactive", "Way of controlling reactive power"),
    ("model", "Validated model"),
)

SCHEME_ITEMS: tuple[DataItem, ...] = (
    *_limit_items("export"),
    *_limit_items("import"),
    item_of(Loads, "assessed_demand_va", "demand", _demand, id="demand.assessed"),
    item_of(Loads, "measured", "demand", _measured),
    *(
        DataItem(
            f"larger.{key}",
            "larger",
            label,
            _not_held,
            applies=_large,
            note="not kept with the facts of the site; give it beside this pack",
        )
        for key, label in LARGER
    ),
)
