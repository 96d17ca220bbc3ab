"""The notice of demand: one page that tells the operator of new loads, or applies for them."""

from msgspec import Struct

from connections.facts.decision import Step
from connections.facts.declaring import declared
from connections.facts.defaults import known, load_kind, part_status
from connections.facts.site import Load, Storage
from connections.pack import cells
from connections.pack.content import Block, Cell, Facts, Item, Prose, Signing
from connections.pack.figures import counted, listed
from connections.pack.sections.front import applicant_of
from connections.pack.sections.layout import Printed, Sheet
from connections.rules.checks.demand import ON_TOP

NOTICE = "demand-notice"
_ON_PAPER = Cell(blank=True)
_KINDS = dict(declared(Load)["kind"].choices)


class _New(Struct, frozen=True):
    """A load as the notice tells it."""

    name: str
    kind: str
    power: Cell
    phases: Cell
    turned_down: Cell


def notice_step(sheet: Sheet) -> Step | None:
    """The step that wants the notice; None where no load is told of."""
    return next((step for step in sheet.case.decision.steps if step.what == NOTICE), None)


def notice_title(step: Step) -> str:
    """Title of the notice: it applies before the work or tells after it."""
    return "Application to connect loads" if step.wait else "Notice of loads connected"


def notice_sections(sheet: Sheet, step: Step) -> list[tuple[str, str, list[Block]]]:
    """Key, title and blocks of the notice's sections."""
    return [
        ("asked", "What is told", _front(sheet, step)),
        ("loads", "New loads", [_loads(sheet)]),
        ("declarations", "Declaration", [_declaration(sheet, step)]),
    ]


def _front(sheet: Sheet, step: Step) -> list[Block]:
    to = sheet.facts("asked.case", "", ("case.area",))
    form = Item("case.serves", "Data for", Cell(text=step.form))
    sheet.enter("case.serves", "case", "Data for", "case.serves")
    roles = {"customer": "Customer", "installer": "Installer"}
    parties: list[Block] = [
        sheet.facts(
            f"parties.{role}",
            title,
            [f"{role}.{field}" for field in ("name", "registration", "phone", "email")
             if (role, field) != ("customer", "registration")],
            side="right",
        )
        for role, title in roles.items()
    ]  # fmt: skip
    return [
        Facts("asked.case", "", (*to.items, form), side="left"),
        Prose("asked", "", (_said(sheet, step),)),
        sheet.facts(
            "premises.place",
            "Premises",
            ("premises.address_lines", "premises.postcode", "premises.import_number"),
            side="left",
        ),
        *parties,
        sheet.facts(
            "premises.supply",
            "Supply",
            (
                "supply.phases",
                "supply.cutout_a",
                "supply.earthing",
                "supply.looped",
                "demand.assessed",
                "supply.import_capacity_va",
            ),
            side="left",
        ),
    ]


def _said(sheet: Sheet, step: Step) -> str:
    who = applicant_of(sheet.case)
    by = f"The {who}" if who == "customer" else f"The {who}, for the customer,"
    new = _new(sheet)
    what = f"{counted(len(new), 'load')}: {listed([each.name for each in new])}"
    to = "the distribution network operator"
    if step.wait:
        return f"{by} applies to {to} to connect {what}. They are connected after its answer."
    return f"{by} tells {to} that {what} {'was' if len(new) == 1 else 'were'} connected."


def _new(sheet: Sheet) -> list[_New]:
    case = sheet.case
    loads = case.loads.items if case.loads is not None else ()
    found = [
        _New(
            load.name,
            _KINDS.get(load_kind(load), "load"),
            cells.rated(load.w),
            Cell(text=", ".join(load.phases)) if isinstance(load.phases, tuple) else Cell(),
            cells.yes_no(load.controllable),
        )
        for load in loads
        if load_kind(load) in ON_TOP and known(load.status) != "existing"
    ]
    return found or [
        _charging(sheet, store) for store in case.site.storage if _is_new(sheet, store)
    ]


def _is_new(sheet: Sheet, store: Storage) -> bool:
    unit = next((unit for unit in sheet.case.site.units if unit.id == store.unit_id), None)
    charges = known(store.charges_from_grid) is not False
    return charges and part_status(store.status, unit) == "proposed"


def _charging(sheet: Sheet, store: Storage) -> _New:
    unit = next((unit for unit in sheet.case.site.units if unit.id == store.unit_id), None)
    phases = Cell(text=", ".join(unit.phases)) if unit is not None else Cell()
    name = f"charging of {store.unit_id} from the network"
    return _New(name, "battery charging", cells.rated(store.charge_w), phases, cells.NONE)


def _loads(sheet: Sheet) -> Block:
    sheet.enter("loads", "demand", "New loads", "loads")
    return sheet.table(
        "loads",
        "",
        _new(sheet),
        (
            Printed("Load", 30, lambda each: Cell(text=_capital(each.name))),
            Printed("Kind", 22, lambda each: Cell(text=each.kind)),
            Printed("Power", 14, lambda each: each.power, "kW", number=True),
            Printed("Phases", 14, lambda each: each.phases),
            Printed("Can be turned down", 20, lambda each: each.turned_down),
        ),
    )


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


def _declaration(sheet: Sheet, step: Step) -> Signing:
    sheet.enter(
        "declarations.installer", "declarations", "Installer's declaration",
        "declarations.installer", "on paper",
    )  # fmt: skip
    done = "are to be" if step.wait else "were"
    return Signing(
        "declarations.installer",
        "Installer",
        f"I declare that the loads listed here {done} connected as described, and that the facts "
        "are right to the best of my knowledge.",
        _ON_PAPER,
        _ON_PAPER,
    )
