"""Page one: what is applied for or told, to whom and by whom; parties, premises and supply."""

from collections.abc import Iterable

from connections.facts.defaults import (
    is_counted,
    known,
    part_status,
    quantity_of,
    registered_w,
    status_of,
)
from connections.facts.reading import party
from connections.facts.site import Array, Premises, Storage, Unit
from connections.pack.case import UNDETERMINED, Case
from connections.pack.content import Block, Cell, Facts, Item, Kind, Prose
from connections.pack.figures import listed, rounded
from connections.pack.items.of_scheme import limit_text
from connections.pack.sections.layout import Sheet
from connections.pack.sections.new_loads import new_loads, told_with_pack

_TITLES: dict[Kind, str] = {
    "application": "Application to connect {}",
    "notification": "Notification of {} connected",
    "confirmation": "Confirmation of {} connected",
    "decommission": "Notice of {} taken out",
    "assessment": "Working sheet: {}, procedure not settled",
}
_NOUNS = {
    "pv": "PV inverter",
    "storage": "battery inverter",
    "pv+storage": "hybrid inverter",
    "wind": "wind turbine",
    "hydro": "hydro unit",
    "chp": "combined heat and power unit",
    "vehicle": "vehicle inverter",
    "other": "generating unit",
}
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_MOST_KINDS = 4
"""Most kinds of like units that a sentence names one by one."""


def title_of(case: Case) -> str:
    """Title of the pack, from its kind and its subject."""
    units = case.subjects or case.staying()
    stores = any(case.has_storage(unit) for unit in units)
    generates = any(unit.source != "storage" for unit in units)
    what = "generation and storage" if stores and generates else "generation"
    if stores and not generates:
        what = "storage"
    if case.kind == "application" and only_asks(case):
        return f"Question about connecting {what}"
    return _TITLES[case.kind].format(what)


def only_asks(case: Case) -> bool:
    """Whether the steps before the work only ask, with no application among them."""
    before = {step.what for step in case.decision.steps if step.when == "before-work"}
    return "ask" in before and "application" not in before


def front_blocks(sheet: Sheet, serves: str) -> list[Block]:
    """The title block, what is asked or told, the parties, the premises and the supply."""
    days = ("case.planned_on", "case.commissioned_on")
    return [
        _title_block(sheet, serves),
        sheet.facts("asked.days", "", days, side="right"),
        Prose("asked", "", tuple(_said(sheet.case))),
        _premises(sheet),
        *_parties(sheet),
        _supply(sheet),
        *_wanted(sheet),
    ]


def _title_block(sheet: Sheet, serves: str) -> Facts:
    """Addressee, procedure and form; reference, revision and date are those of the pack."""
    sheet.enter("case.procedure", "case", "Procedure", "case.procedure")
    sheet.enter("case.serves", "case", "Data for", "case.serves")
    made = [
        Item("case.procedure", "Procedure", Cell(text=sheet.case.decision.procedure.title)),
        Item("case.serves", "Data for", Cell(text=serves)),
    ]
    to = sheet.facts("asked.case", "", ("case.area",))
    return Facts("asked.case", "", (*to.items, *made), side="left")


# What is applied for ------------------------------------------------------------------------


def _said(case: Case) -> Iterable[str]:
    """The one sentence of the pack, what stays, the limits, and what is waited for."""
    if case.kind == "assessment":
        settled = "The facts do not settle a procedure yet."
        if case.procedure != UNDETERMINED or not case.decision.possible:
            settled = case.decision.procedure.says
        yield f"{settled} This sheet is for work on the case and not for sending."
    else:
        yield _request(case)
    if told_with_pack(case) is not None:
        loads = listed([each.words for each in new_loads(case)])
        yield f"It also applies for new loads: {loads}."
    if stays := _rest(case):
        yield stays
    for which in ("export", "import"):
        limit = case.limit(which)
        if limit is not None and limit.value is not None:
            how = "a fully type-tested" if limit.type_tested is True else "a"
            yield (
                f"{which.capitalize()} is limited to {limit_text(limit.value, limit.basis)} by "
                f"{how} limitation scheme."
            )
    if case.kind == "application" and case.limit("export") is None:
        yield "Export is not limited."
    waits = any(step.wait and step.when == "before-work" for step in case.decision.steps)
    if waits and case.kind == "application":
        yield "Work starts only after a written answer."


def _request(case: Case) -> str:
    what = _subject(case)
    by = _applicant(case)
    to = "the distribution network operator"
    if case.kind == "application" and only_asks(case):
        return f"{by} asks {to} how to go on with {what}."
    if case.kind == "application":
        return f"{by} applies to {to} to connect {what}."
    told = {"notification": "connected", "confirmation": "connected as agreed"}
    done = told.get(case.kind, "taken out")
    verb = "was" if case.kind != "decommission" else "is"
    several = sum(quantity_of(unit) or 1 for unit in case.subjects) > 1
    verb = {"was": "were", "is": "are"}[verb] if several else verb
    return f"{by} tells {to} that {what} {verb} {done}."


def _applicant(case: Case) -> str:
    """Who applies, and for whom, by the roles that the parties have."""
    who = applicant_of(case)
    return f"The {who}" if who == "customer" else f"The {who}, for the customer,"


def applicant_of(case: Case) -> str:
    """The role of who applies: "customer", "installer" or "applicant"."""
    applicant = party(case.site, "applicant")
    if applicant is None or applicant == party(case.site, "installer"):
        return "installer"
    return "customer" if _same(case, "applicant", "customer") else "applicant"


def _subject(case: Case) -> str:
    """The units that the pack is about, or the panels and cells that come behind one that stays."""
    gone = case.kind == "decommission"
    units = [unit for unit in case.subjects if gone or is_counted(unit)]
    proposed = any(status_of(unit) != "existing" for unit in units)
    added = "" if proposed or case.after_the_work else _added(case)
    return added or units_in_words(case, units) or "no unit that counts"


def _added(case: Case) -> str:
    """Panels and cells proposed behind units that stay: "8 kWh of cells behind pv-1"."""
    units = {unit.id: unit for unit in case.site.units}

    def proposed(part: Array | Storage) -> bool:
        return part_status(part.status, units.get(part.unit_id)) == "proposed"

    sizes = [
        (known(array.peak_w), "Wp", "panels", array.unit_id)
        for array in case.site.arrays
        if proposed(array)
    ] + [
        (known(store.usable_wh), "Wh", "cells", store.unit_id)
        for store in case.site.storage
        if proposed(store)
    ]
    return listed(
        [
            f"{rounded(amount, unit)} of {what} behind {unit_id}"
            if amount
            else f"{what} behind {unit_id}"
            for amount, unit, what, unit_id in sizes
        ]
    )


def units_in_words(case: Case, units: Iterable[Unit]) -> str:
    """Units in a sentence, like ones together: "one battery inverter of 3.6 kW on L1"."""
    alike: dict[tuple[str, int | None, str], int] = {}
    total, known_all = 0, True
    for unit in units:
        one, n = registered_w(unit), quantity_of(unit) or 1
        key = (_NOUNS[unit.source], one, ", ".join(unit.phases))
        alike[key] = alike.get(key, 0) + n
        total, known_all = total + (one or 0) * n, known_all and one is not None
    if len(alike) > _MOST_KINDS:
        size = f" of {rounded(total, 'W')} in all" if known_all else ""
        return f"{_count(sum(alike.values()))} generating units{size}"
    said = []
    for (noun, one, phases), n in alike.items():
        each = " each" if n > 1 else ""
        size = f" of {rounded(one, 'W')}{each}" if one else ""
        said.append(f"{_count(n)} {noun}{'s' if n > 1 else ''}{size} on {_last_and(phases)}")
    return listed(said)


def _last_and(phases: str) -> str:
    return listed(phases.split(", "))


def _count(n: int) -> str:
    return _COUNTS[n] if n < len(_COUNTS) else str(n)


def _rest(case: Case) -> str:
    """What else is there and stays, and what goes."""
    stays = [unit for unit in case.counted() if unit.id not in case.subject]
    goes = [
        unit
        for unit in case.site.units
        if known(unit.status) == "removed" and unit.id not in case.subject
    ]
    said = []
    if words := units_in_words(case, stays):
        said.append(f"{words} {'stay' if _several(stays) else 'stays'}")
    if words := units_in_words(case, goes):
        said.append(f"{words} {'go' if _several(goes) else 'goes'}")
    sentence = "; ".join(said)
    return f"{sentence[:1].upper()}{sentence[1:]}." if sentence else ""


def _several(units: list[Unit]) -> bool:
    return sum(quantity_of(unit) or 1 for unit in units) > 1


# Parties, premises and supply ---------------------------------------------------------------

_CONTACT = ("name", "role", "registration", "address_lines", "phone", "email")


def _same(case: Case, role: str, other: str) -> bool:
    one, two = party(case.site, role), party(case.site, other)
    return (
        one is not None
        and two is not None
        and (known(one.name), known(one.email), known(one.phone))
        == (known(two.name), known(two.email), known(two.phone))
    )


def _parties(sheet: Sheet) -> list[Block]:
    """Customer, applicant and installer, those that are one and the same together."""
    case = sheet.case
    own = party(case.site, "applicant") is not None
    both = own and _same(case, "applicant", "installer")
    customer = own and not both and _same(case, "applicant", "customer")
    if both and _same(case, "customer", "installer"):
        title = "Customer, applicant and installer"
        return [_facts(sheet, "parties.installer", title, "installer", ("customer.owner_consent",))]
    blocks: list[Block] = [
        _facts(
            sheet,
            "parties.customer",
            "Customer and applicant" if customer else "Customer",
            "customer",
            ("customer.owner_consent",),
        )
    ]
    if own and not both and not customer:
        blocks.append(_facts(sheet, "parties.applicant", "Applicant", "applicant"))
    title = "Installer" if own and not both else "Applicant and installer"
    if case.after_the_work and not own:
        title = "Installer"
    blocks.append(_facts(sheet, "parties.installer", title, "installer"))
    return blocks


def _facts(sheet: Sheet, block_id: str, title: str, role: str, more: tuple[str, ...] = ()) -> Facts:
    left_out = {"customer": ["registration"], "installer": ["role"]}.get(role, [])
    if role == "customer" and _lives_there(sheet.case):
        left_out.append("address_lines")
    ids = [f"{role}.{field}" for field in _CONTACT if field not in left_out]
    return sheet.facts(block_id, title, (*ids, *more), side="right")


def _lives_there(case: Case) -> bool:
    customer, premises = party(case.site, "customer"), case.premises
    return (
        customer is not None
        and premises is not None
        and bool(known(customer.address_lines))
        and customer.address_lines == premises.address_lines
    )


def _premises(sheet: Sheet) -> Facts:
    premises = sheet.case.site.premises
    named = isinstance(premises, Premises) and known(premises.name) not in (
        known(premises.address_lines) or ()
    )
    return sheet.facts(
        "premises.place",
        "Premises",
        (
            *(["premises.name"] if named else []),
            "premises.address_lines",
            "premises.postcode",
            "premises.import_number",
            "premises.export_number",
            "premises.metering",
            "premises.feeder",
            *(["case.nearby"] if _neighbours(sheet.case) else []),
        ),
        side="left",
    )


def _neighbours(case: Case) -> bool:
    nearby = known(case.site.nearby)
    return nearby is not None and bool(known(nearby.premises))


def _supply(sheet: Sheet) -> Facts:
    return sheet.facts(
        "premises.supply",
        "Supply",
        (
            "supply.phases",
            "supply.nominal_v",
            "supply.cutout_a",
            "supply.earthing",
            "supply.looped",
            *(["demand.assessed"] if sheet.case.after_the_work else []),
            "supply.loop_impedance_uohm",
            "supply.prospective_fault_a",
            "supply.voltage_optimiser",
        ),
        side="left",
    )


def _wanted(sheet: Sheet) -> list[Facts]:
    """Demand and capacities, where something is asked for and one of them is told."""
    if sheet.case.after_the_work:
        return []
    found = sheet.facts(
        "premises.wanted",
        "Demand, and capacities wanted",
        ("demand.assessed", "supply.import_capacity_va", "supply.export_capacity_va"),
        side="right",
    )
    return [found] if found.items else []
