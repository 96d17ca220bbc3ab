"""New loads that the network operator is told of, and the step that wants it."""

from msgspec import Struct

from connections.facts.decision import Step
from connections.facts.declaring import declared, lowered
from connections.facts.defaults import known, load_kind, part_status
from connections.facts.site import Load, Storage
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.content import Cell

NOTICE = "demand-notice"
_KINDS = dict(declared(Load)["kind"].choices)


class NewLoad(Struct, frozen=True):
    """A load as it is told."""

    name: str
    kind: str
    power: Cell
    phases: Cell
    turned_down: Cell

    @property
    def words(self) -> str:
        """The load in a sentence: "heat pump of 3 kW"."""
        power = (self.power.text or "").rstrip("0").rstrip(".")
        size = f" of {power} kW" if power else ""
        return f"{lowered(self.name)}{size}"


def told_with_pack(case: Case) -> Step | None:
    """The step whose loads the pack itself applies for, so that one paper suffices."""
    step = notice_step(case)
    return step if step is not None and step.wait and case.kind == "application" else None


def has_own_notice(case: Case, step: Step) -> bool:
    """Whether loads are told of in a paper of their own.

    An application carries those that it asks for, and their form is named on its first page. Loads
    that are told once they are connected wait for the pack after the work.
    """
    return case.kind != "application" and not (case.kind == "confirmation" and step.wait)


def notice_step(case: Case) -> Step | None:
    """The step that wants the notice; None where no load is told of."""
    return next((step for step in case.decision.steps if step.what == NOTICE), None)


def new_loads(case: Case) -> list[NewLoad]:
    """New heat pumps, charge points and the like; where there are none, charging from the grid."""
    # Imported here: readers of packs need no checks, a third of the time to load.
    from connections.rules.checks.demand import ON_TOP

    loads = case.loads.items if case.loads is not None else ()
    found = [
        NewLoad(
            load.name,
            _KINDS.get(load_kind(load), "load"),
            cells.rated(load.w),
            Cell(text=", ".join(load.phases)) if isinstance(load.phases, tuple) else Cell(),
            cells.yes_no(load.controllable),
        )
        for load in loads
        if load_kind(load) in ON_TOP and known(load.status) != "existing"
    ]
    return found or [_charging(case, store) for store in case.site.storage if _is_new(case, store)]


def _is_new(case: Case, store: Storage) -> bool:
    unit = next((unit for unit in case.site.units if unit.id == store.unit_id), None)
    charges = known(store.charges_from_grid) is not False
    return charges and part_status(store.status, unit) == "proposed"


def _charging(case: Case, store: Storage) -> NewLoad:
    unit = next((unit for unit in case.site.units if unit.id == store.unit_id), None)
    phases = Cell(text=", ".join(unit.phases)) if unit is not None else Cell()
    name = f"charging of {store.unit_id} from the network"
    return NewLoad(name, "battery charging", cells.rated(store.charge_w), phases, cells.NONE)
