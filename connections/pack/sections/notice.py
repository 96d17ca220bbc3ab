"""The notice of demand: one page that tells the operator of new loads, or applies for them."""

from connections.facts.decision import Step
from connections.pack.content import Block, Cell, Facts, Item, Prose, Signing
from connections.pack.figures import counted, listed
from connections.pack.sections.front import applicant_of
from connections.pack.sections.layout import Printed, Sheet
from connections.pack.sections.new_loads import new_loads

_ON_PAPER = Cell(blank=True)


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
    new = new_loads(sheet.case)
    what = f"{counted(len(new), 'load')}: {listed([each.name for each in new])}"
    to = "the distribution network operator"
    if step.wait:
        return f"{by} applies to {to} to connect {what}. They are connected after its answer."
    return f"{by} tells {to} that {what} {'was' if len(new) == 1 else 'were'} connected."


def _loads(sheet: Sheet) -> Block:
    sheet.enter("loads", "demand", "New loads", "loads")
    return sheet.table(
        "loads",
        "",
        new_loads(sheet.case),
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
