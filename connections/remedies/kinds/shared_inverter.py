"""Remedy: one hybrid inverter in place of separate PV and storage inverters.

Separate inverters add; a shared one counts once, at its AC rating. For each procedure in reach,
halving finds the largest rating, up to the larger of the replaced totals (a smaller rating never
leads to a later procedure). Likewise it finds the largest that clears each stop. The shared
inverter is assumed to be fully type tested.
"""

from collections.abc import Iterator

from connections.facts.defaults import is_counted, quantity_of, registered_w
from connections.facts.site import Phase, Site, Unit
from connections.remedies.edit import Edit, free_id
from connections.remedies.largest import least_w, worth_asking
from connections.remedies.made_of import full_test, standard_for
from connections.remedies.option import Model, Option, Start, option
from connections.rules.figures import kilowatts, listed

MICRO_W = 1000
"""Lines of several units up to this rating [W] count as micro-inverters (common practice)."""


def shared_inverters(start: Start) -> Iterator[Option]:
    """The largest hybrid inverter for each procedure in reach."""
    replaced = separate_inverters(start.site)
    if not replaced or any(registered_w(u) is None or quantity_of(u) is None for _, u in replaced):
        return
    largest = largest_replaced_w(replaced)
    phases = phases_of(replaced)
    for rated_w in worth_asking(
        start, lambda w: with_shared(start, replaced, w), largest + 1, least=least_w(largest)
    ):
        found = option(
            start,
            "shared-inverter",
            f"one hybrid inverter of {kilowatts(rated_w)} on {listed(phases)}, fully type tested, "
            f"in place of {listed([unit.id for _, unit in replaced])}",
            with_shared(start, replaced, rated_w),
            name=f"One hybrid inverter, {kilowatts(rated_w)}",
            notes=_restrung(replaced),
            competent=True,
            fits=_fits(start, replaced, rated_w),
        )
        if found is not None:
            yield found


def separate_inverters(site: Site) -> list[tuple[int, Unit]]:
    """Counted PV units and storage units with inverters of their own; empty without both."""
    behind = {cells.unit_id for cells in site.storage if cells.status != "removed"}
    units = [(i, unit) for i, unit in enumerate(site.units) if is_counted(unit)]
    pv = [(i, u) for i, u in units if u.source == "pv" and u.id not in behind]
    storage = [(i, u) for i, u in units if u.source == "storage"]
    return [*pv, *storage] if pv and storage else []


def largest_replaced_w(replaced: list[tuple[int, Unit]]) -> int:
    """The larger of the total ratings of PV and of storage inverters [W]."""
    of_pv = sum(_rated(unit) for _, unit in replaced if unit.source == "pv")
    return max(of_pv, sum(_rated(unit) for _, unit in replaced) - of_pv)


def phases_of(replaced: list[tuple[int, Unit]]) -> tuple[Phase, ...]:
    """The phases of the hybrid inverter: those of the widest unit it replaces."""
    return max((unit.phases for _, unit in replaced), key=len)


def with_shared(
    start: Start, replaced: list[tuple[int, Unit]], rated_w: int, model: Model | None = None
) -> Edit:
    """Replace the separate inverters by one shared one, of a rating or from the catalogue."""
    phases = phases_of(replaced)
    made = free_id([unit.id for unit in start.site.units], "shared")
    edit = Edit(start.site)
    edit.add(
        Unit(
            id=made,
            source="pv+storage",
            rated_w=rated_w,
            phases=phases,
            status="proposed",
            standards=full_test(standard_for(rated_w, len(phases), start.rules.book)),
        )
        if model is None
        else Unit(
            id=made,
            source="pv+storage",
            rated_w=model.rated_w,
            design_w=model.design_w or model.rated_w,
            phases=phases,
            status="proposed",
            standards=model.standards,
        )
    )
    for i, unit in replaced:
        edit.move_parts(unit.id, made)
        edit.take_out(i)
    return edit


def _fits(start: Start, replaced: list[tuple[int, Unit]], rated_w: int) -> tuple[str, ...]:
    """Names of hybrid inverters in the catalogue, of this size or less, that the rules let pass."""
    phases = len(phases_of(replaced))
    order = start.rules.book_order
    at = order[start.rules.outcome(with_shared(start, replaced, rated_w).site)]
    fitting = []
    for model in start.catalogue:
        if model.source != "pv+storage" or model.phases != phases or model.rated_w > rated_w:
            continue
        proof = start.prove(with_shared(start, replaced, rated_w, model).site)
        if proof is not None and order[proof.decided.procedure] <= at:
            fitting.append(model.name)
    return tuple(fitting)


def _restrung(replaced: list[tuple[int, Unit]]) -> tuple[str, ...]:
    micro = [
        unit.id
        for _, unit in replaced
        if unit.source == "pv"
        and (quantity_of(unit) or 1) > 1
        and (registered_w(unit) or 0) <= MICRO_W
    ]
    if not micro:
        return ()
    return (
        f"The panels behind {listed(micro)} would be re-strung for direct current, since "
        "micro-inverters can't sit behind a hybrid inverter.",
    )


def _rated(unit: Unit) -> int:
    return (registered_w(unit) or 0) * (quantity_of(unit) or 0)
