"""Data items of the limitation scheme, the demand, and larger plant."""

from collections.abc import Callable

from connections.facts.defaults import clamps_at_supply, known, rating
from connections.facts.site import Limits, Loads
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.figures import listed, rounded
from connections.pack.items.types import LARGE, DataItem, item_of, label_of

BASES = {"ma_per_phase": "mA", "w_total": "W", "va_total": "VA"}


def limit_text(value: int, basis: str) -> str:
    """A limit as stated: "16 A on each phase", "5 kW in all"."""
    return (
        f"{rounded(value, BASES[basis])} {'on each phase' if basis == 'ma_per_phase' else 'in all'}"
    )


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
            return Cell(text=rounded(value, "ms")) if isinstance(value, int) else NOT_KNOWN
        if field == "commissioned_on":
            return cells.day(value)
        if field == "fail_safe":
            return cells.yes_no(
                value, f"{which} stays within the limit", f"{which} may pass the limit"
            )
        if isinstance(value, bool):
            return cells.yes_no(value)
        if field == "ct_position" and cells.words(value) == NOT_KNOWN:
            found = [clamp.id for _place, clamp in clamps_at_supply(case.site, which)]
            return Cell(text=f"at the supply: {listed(found)}") if found else NOT_KNOWN
        if field == "controls" and isinstance(value, tuple) and any(value):
            return Cell(text=listed([line for line in value if line.strip()]))
        return cells.words(value) if isinstance(value, str) else NOT_KNOWN

    return read


_LABELS = {
    "type_tested": "fully type tested",
    "type_test_reference": "register reference",
    "response_ms": "responds within",
    "fail_safe": "if meter, link or supply fails",
    "measured_at": "measured at",
    "controls": "units controlled",
    "ct_position": "clamp",
    "nets_phases": "sets phases off against each other",
    "commissioned_on": "proved on",
}


def _limit_items(which: str) -> tuple[DataItem, ...]:
    title = label_of(Limits, {"import": "import_"}.get(which, which))
    has: Callable[[Case], bool] = lambda case: case.limit(which) is not None  # noqa: E731
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
                label=f"{title}: {label}",
                read=_limit(which, field),
                path=f"limits.{which}.{field}",
                applies=has,
            )
            for field, label in _LABELS.items()
        ),
    )


def _demand(case: Case) -> Cell:
    """Demand with the way it was found."""
    if case.loads is None or (va := rating(case.loads.assessed_demand_va)) is None:
        return NOT_KNOWN
    ways: dict[bool | None, str] = {True: ", measured", False: ", worked out"}
    return Cell(text=f"{rounded(va, 'VA')}{ways.get(known(case.loads.measured), '')}")


def _large(case: Case) -> bool:
    return case.procedure in LARGE


def _beside(case: Case) -> Cell:
    """No fact of the site holds it."""
    return Cell(text="in a report beside this pack")


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
    item_of(Loads, "assessed_demand_va", "demand", _demand, id="demand.assessed", unit=""),
    *(
        DataItem(
            f"larger.{key}",
            "larger",
            label,
            _beside,
            applies=_large,
        )
        for key, label in LARGER
    ),
)
