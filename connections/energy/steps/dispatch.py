"""Dispatch the energy of each step: house first, then cells, then the network up to its limit.

Source: the equations of a PV plant behind an export limit as in the tests' hand case. With several
kinds of plant, separate panels serve the house first, then hybrid inverters. Surplus fills the
cells with their own inverter, then those behind a shared one, then goes out.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from connections.energy.steps.flows import CellLimits, Flows, StepInputs

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]


class _Sun(NamedTuple):
    """Output of the sun in each step [kW], before any cells and the limit."""

    dc: "Series"
    potential: "Series"
    separate_dc: "Series"
    separate_potential: "Series"
    separate_ac: "Series"
    to_house: "Series"
    spare: "Series"
    shared_to_house: "Series"
    shared_left_dc: "Series"
    shared_share: "Series"
    headroom: "Series"
    short: "Series"


class _Cells(NamedTuple):
    """Powers of the cells in each step [kW], and their energy after it [kWh]."""

    charge: "Series"
    discharge: "Series"
    sold: "Series"
    bought: "Series"
    stored: "Series"
    shared_charge: "Series"
    shared_surplus: "Series"
    shared_discharge: "Series"
    shared_sold: "Series"
    shared_bought: "Series"
    shared_stored: "Series"


def dispatch(inputs: StepInputs, limit_kw: float | None) -> Flows:
    """Follow one year under one export limit [kW], None for no limit."""
    return next(dispatch_each(inputs, (limit_kw,)))


def dispatch_each(inputs: StepInputs, limits_kw: Sequence[float | None]) -> Iterator[Flows]:
    """Follow one year under each of several export limits [kW], one by one on demand.

    The limit affects the cells only where they sell; else they are followed once for all limits.
    """
    sun = _sunshine(inputs)
    cells = None
    for each in limits_kw:
        if cells is None or inputs.sell is not None:
            cells = _follow(inputs, sun, each if inputs.sell is not None else None)
        yield _settle(inputs, sun, cells, each)


def _sunshine(inputs: StepInputs) -> _Sun:
    import numpy as np

    load = inputs.load_kw
    none = np.zeros(len(load))
    dc, potential, separate_ac = none, none, none
    for unit in inputs.separate:
        could = unit.dc_kw * unit.share
        dc = dc + unit.dc_kw
        potential = potential + could
        separate_ac = separate_ac + np.minimum(could, unit.rated_kw)
    to_house = np.minimum(separate_ac, load)
    rest = load - to_house
    shared = inputs.shared
    if shared is None:
        return _Sun(dc, potential, dc, potential, separate_ac, to_house, separate_ac - to_house,
                    none, none, np.ones(len(load)), none, rest)  # fmt: skip
    share = np.broadcast_to(np.asarray(shared.share, dtype=float), load.shape)
    could = shared.dc_kw * share
    shared_to_house = np.minimum(np.minimum(could, rest), shared.rated_kw)
    # An inverter that lets nothing through takes nothing from the panels.
    taken = np.divide(shared_to_house, share, out=np.zeros(len(load)), where=share > 0)
    return _Sun(
        dc=dc + shared.dc_kw,
        potential=potential + could,
        separate_dc=dc,
        separate_potential=potential,
        separate_ac=separate_ac,
        to_house=to_house,
        spare=separate_ac - to_house,
        shared_to_house=shared_to_house,
        # If the house takes all, rounding must not leave a trace to charge with.
        shared_left_dc=np.where(shared_to_house < could, shared.dc_kw - taken, 0.0),
        shared_share=share,
        headroom=shared.rated_kw - shared_to_house,
        short=rest - shared_to_house,
    )


def _follow(inputs: StepInputs, sun: _Sun, limit_kw: float | None) -> _Cells:
    """Follow the cells step by step: the only part that can't be done for all steps at once."""
    import numpy as np

    size = len(inputs.load_kw)
    none = np.zeros(size)
    if inputs.cells is None and inputs.shared is None:
        return _Cells(*(none,) * 11)
    shares = inputs.shares
    if inputs.shared is None and inputs.cells is not None:
        share = shares.cells_ac * shares.cells_one_way
        one = _OneSet(
            over=sun.spare,
            short=sun.short,
            most_bought=np.full(size, inputs.cells.buy_kw),
            most_sold=none,
            cells=inputs.cells,
            into=inputs.hours * share,
            backwards=1.0,
            out_of=inputs.hours / share,
        )
        if inputs.sell is not None:
            one = one._replace(most_sold=np.full(size, inputs.cells.sell_kw))
            one = one._replace(most_sold=_let_out(one.most_sold, sun.spare, limit_kw))
        charge, bought, discharge, sold, stored = _follow_one(inputs, one)
        return _Cells(charge, discharge, sold, bought, stored, *(none,) * 6)
    if inputs.shared is not None and inputs.cells is None and not inputs.separate:
        share = shares.cells_dc * shares.cells_one_way
        one = _OneSet(
            over=sun.shared_left_dc,
            # If the house is short, either no sun is left or the inverter is at its rating. So no
            # step has to both fill and empty the cells.
            short=np.where(sun.shared_left_dc > 0, 0.0, np.minimum(sun.short, sun.headroom)),
            most_bought=np.minimum(sun.headroom, inputs.shared.cells.buy_kw / shares.inverter),
            most_sold=none,
            cells=inputs.shared.cells,
            into=inputs.hours * share,
            backwards=shares.inverter,
            out_of=inputs.hours / (share * shares.inverter),
        )
        if inputs.sell is not None:
            beyond = np.minimum(sun.shared_left_dc * sun.shared_share, sun.headroom)
            free = np.minimum(sun.headroom - beyond - one.short, inputs.shared.cells.sell_kw)
            one = one._replace(most_sold=_let_out(free, beyond, limit_kw))
        charge, bought, discharge, sold, stored = _follow_one(inputs, one)
        return _Cells(none, none, none, none, none, charge, none, discharge, sold, bought, stored)
    return _follow_all(inputs, sun, limit_kw)


class _OneSet(NamedTuple):
    """One set of cells alone, with all values known before it is followed.

    `over` fills them and `short` empties them [kW]. `most_bought` and `most_sold` bound the extra
    power of windows [kW]. `into` and `out_of` are the energy at the cells for each kW of a step
    [kWh]. `backwards` is the share of bought power that an inverter passes on before that.
    """

    over: "Series"
    short: "Series"
    most_bought: "Series"
    most_sold: "Series"
    cells: CellLimits
    into: float
    backwards: float
    out_of: float


def _let_out(most_kw: "Series", surplus_kw: "Series", limit_kw: float | None) -> "Series":
    """Most power that cells may sell beside the surplus of the sun [kW]."""
    import numpy as np

    if limit_kw is None:
        return most_kw
    room: Series = np.minimum(most_kw, np.maximum(limit_kw - surplus_kw, 0.0))
    return room


def _follow_one(
    inputs: StepInputs, one: _OneSet
) -> tuple["Series", "Series", "Series", "Series", "Series"]:
    """Charge, bought, discharge, sold [kW] and stored [kWh] of one set of cells."""
    import numpy as np

    if inputs.cheap is not None or inputs.sell is not None:
        return _fill_and_empty_in_windows(inputs, one)
    none = np.zeros(len(one.over))
    charge, discharge, stored = _fill_and_empty(one)
    return charge, none, discharge, none, stored


def _fill_and_empty(one: _OneSet) -> tuple["Series", "Series", "Series"]:
    """Fill cells from surplus and empty them into shortage; no window.

    This is the fast path for the commonest plants, and still the slowest part of a year.
    """
    import numpy as np

    into, out_of = one.into, one.out_of
    full, most_in, most_out = one.cells.usable_kwh, one.cells.charge_kw, one.cells.discharge_kw
    held = 0.0
    moved, stored = [], []
    for net in (one.over - one.short).tolist():
        if net > 0.0:
            flow = net if net < most_in else most_in
            room = (full - held) / into
            if room <= flow:
                flow = room
                held = full
            else:
                held += flow * into
            moved.append(flow)
        else:
            flow = -net if -net < most_out else most_out
            there = held / out_of
            if there <= flow:
                flow = there
                held = 0.0
            else:
                held -= flow * out_of
            moved.append(-flow)
        stored.append(held)
    flows = np.array(moved)
    return np.maximum(flows, 0.0), np.maximum(-flows, 0.0), np.array(stored)


def _fill_and_empty_in_windows(
    inputs: StepInputs, one: _OneSet
) -> tuple["Series", "Series", "Series", "Series", "Series"]:
    """As `_fill_and_empty`, with windows in which cells fill from or empty into the network."""
    import numpy as np

    size = len(one.over)
    into, out_of, into_bought = one.into, one.out_of, one.into * one.backwards
    full, most_in, most_out = one.cells.usable_kwh, one.cells.charge_kw, one.cells.discharge_kw
    to = inputs.cheap_to * full
    windows = np.zeros(size, dtype=int)
    if inputs.cheap is not None:
        windows[inputs.cheap] = 1
    if inputs.sell is not None:
        windows[inputs.sell] = 2
    held = 0.0
    charges, boughts, gives, solds, stored = [], [], [], [], []
    for over, short, most_bought, most_sold, window in zip(
        one.over.tolist(), one.short.tolist(), one.most_bought.tolist(), one.most_sold.tolist(),
        windows.tolist(), strict=True,
    ):  # fmt: skip
        charge = bought = given = sold = 0.0
        if over > 0.0 and window != 2:
            room = (full - held) / into
            charge = over if over < most_in else most_in
            if room <= charge:
                charge = room
                held = full
            else:
                held += charge * into
        if window == 1:
            if held < to:
                room = (to - held) / into_bought
                bought = (most_in - charge) / one.backwards
                bought = most_bought if most_bought < bought else bought
                if room <= bought:
                    bought = room
                    held = to
                else:
                    held += bought * into_bought
        elif held > 0.0 and (short > 0.0 or window):
            there = held / out_of
            given = short if short < most_out else most_out
            given = there if there < given else given
            if window == 2 and given >= short:
                sold = most_out - given
                sold = most_sold if most_sold < sold else sold
                sold = there - given if there - given < sold else sold
            held -= (given + sold) * out_of
            held = held if held > 0.0 else 0.0
        charges.append(charge)
        boughts.append(bought)
        gives.append(given)
        solds.append(sold)
        stored.append(held)
    return (
        np.array(charges), np.array(boughts), np.array(gives), np.array(solds), np.array(stored)
    )  # fmt: skip


def _follow_all(inputs: StepInputs, sun: _Sun, limit_kw: float | None) -> _Cells:
    """Follow all kinds of cells together, with windows."""
    import numpy as np

    hours, shares = inputs.hours, inputs.shares
    size = len(inputs.load_kw)
    nothing = CellLimits(0.0, 0.0, 0.0, 0.0, 0.0)
    own = inputs.cells if inputs.cells is not None else nothing
    behind = inputs.shared.cells if inputs.shared is not None else nothing
    full, most_in, most_out = own.usable_kwh, own.charge_kw, own.discharge_kw
    full_b, most_in_b, most_out_b = behind.usable_kwh, behind.charge_kw, behind.discharge_kw
    buy, sold_most = own.buy_kw, own.sell_kw
    buy_b, sold_most_b = behind.buy_kw, behind.sell_kw
    into = shares.cells_ac * shares.cells_one_way * hours
    out_of = hours / (shares.cells_ac * shares.cells_one_way)
    into_b = shares.cells_dc * shares.cells_one_way * hours
    out_of_b = hours / (shares.cells_dc * shares.cells_one_way * shares.inverter)
    rectified = shares.inverter
    """DC that is left of AC sent backwards through a hybrid inverter, as a share."""
    limit = float("inf") if limit_kw is None else limit_kw
    cheap = inputs.cheap.tolist() if inputs.cheap is not None else [False] * size
    sell = inputs.sell.tolist() if inputs.sell is not None else [False] * size
    to, to_b = inputs.cheap_to * full, inputs.cheap_to * full_b

    held = held_b = 0.0
    found: list[tuple[float, ...]] = []
    note = found.append
    for left_dc, share, headroom, spare, short, cheaply, selling in zip(
        sun.shared_left_dc.tolist(), sun.shared_share.tolist(), sun.headroom.tolist(),
        sun.spare.tolist(), sun.short.tolist(), cheap, sell, strict=True,
    ):  # fmt: skip
        charge_b = across = charge = given = given_b = sold = sold_b = bought = bought_b = 0.0
        beyond = net = 0.0
        if left_dc > 0.0 or spare > 0.0:
            if not selling:
                charge_b = min(left_dc, most_in_b, (full_b - held_b) / into_b)
                held_b += charge_b * into_b
            beyond = min((left_dc - charge_b) * share, headroom)
            net = spare + beyond
            if not selling:
                charge = min(net, most_in, (full - held) / into)
                held += charge * into
                net -= charge
                if spare > 0.0 and net > 0.0 and beyond <= 0.0:
                    # Surplus of other panels, backwards through the hybrid inverter.
                    room = (full_b - held_b) / (into_b * rectified)
                    across = min(net, headroom, (most_in_b - charge_b) / rectified, room)
                    across = across if across > 0.0 else 0.0
                    held_b += across * rectified * into_b
                    net -= across
        if cheaply:
            if held < to:
                bought = max(min(most_in - charge, buy, (to - held) / into), 0.0)
                held += bought * into
            if held_b < to_b and across <= 0.0:
                room = (to_b - held_b) / (into_b * rectified)
                bought_b = min(
                    headroom - beyond, (most_in_b - charge_b) / rectified, buy_b / rectified, room
                )
                bought_b = bought_b if bought_b > 0.0 else 0.0
                held_b += bought_b * rectified * into_b
        else:
            if short > 0.0:
                if held_b > 0.0:
                    given_b = min(short, headroom - beyond, most_out_b, held_b / out_of_b)
                    held_b -= given_b * out_of_b
                if held > 0.0:
                    given = min(short - given_b, most_out, held / out_of)
                    held -= given * out_of
            # Cells don't sell while the house still lacks power.
            if selling and short - given_b - given <= 0.0:
                room = max(limit - net, 0.0)
                sold_b = min(
                    room, headroom - beyond - given_b, most_out_b - given_b, sold_most_b,
                    held_b / out_of_b,
                )  # fmt: skip
                sold_b = sold_b if sold_b > 0.0 else 0.0
                held_b -= sold_b * out_of_b
                sold = min(room - sold_b, most_out - given, sold_most, held / out_of)
                sold = sold if sold > 0.0 else 0.0
                held -= sold * out_of
        # Rounding may leave a value slightly beyond an edge.
        held = 0.0 if held < 0.0 else full if held > full else held
        held_b = 0.0 if held_b < 0.0 else full_b if held_b > full_b else held_b
        note((charge, given, sold, bought, held,
              charge_b, across, given_b, sold_b, bought_b, held_b))  # fmt: skip
    columns = np.array(found).T
    return _Cells(*columns)


def _settle(inputs: StepInputs, sun: _Sun, cells: _Cells, limit_kw: float | None) -> Flows:
    """Work out export, loss to the limit, import and losses on the way."""
    import numpy as np

    shares = inputs.shares
    into_inverter = sun.shared_left_dc - cells.shared_charge
    could = into_inverter * sun.shared_share
    beyond = np.minimum(could, sun.headroom)
    surplus = sun.spare + beyond - cells.charge - cells.shared_surplus
    surplus = np.maximum(surplus, 0.0)
    out = surplus if limit_kw is None else np.minimum(surplus, limit_kw)
    separate_clipped = sun.separate_potential - sun.separate_ac
    shared_clipped = could - beyond
    direct = sun.to_house + sun.shared_to_house
    given = cells.discharge + cells.shared_discharge
    bought = cells.bought + cells.shared_bought

    one_way = shares.cells_one_way
    own_out = cells.discharge + cells.sold
    shared_out = cells.shared_discharge + cells.shared_sold
    backwards = cells.shared_surplus + cells.shared_bought
    shared_dc = inputs.shared.dc_kw if inputs.shared is not None else np.zeros(len(sun.dc))
    conversion = (
        (sun.separate_dc - sun.separate_potential)
        + (shared_dc - cells.shared_charge - sun.shared_to_house - could)
        + (cells.charge + cells.bought) * (1 - shares.cells_ac * one_way)
        + own_out * (1 / (shares.cells_ac * one_way) - 1)
        + cells.shared_charge * (1 - shares.cells_dc * one_way)
        + backwards * (1 - shares.inverter * shares.cells_dc * one_way)
        + shared_out * (1 / (shares.cells_dc * one_way * shares.inverter) - 1)
    )
    return Flows(
        inputs=inputs,
        limit_kw=limit_kw,
        dc=sun.dc,
        potential=sun.potential,
        separate_ac=sun.separate_ac,
        shared_ac=sun.shared_to_house + beyond,
        clipped=separate_clipped + shared_clipped,
        direct=direct,
        surplus=surplus,
        exported=out + cells.sold + cells.shared_sold,
        lost=surplus - out,
        imported=np.maximum(inputs.load_kw - direct - given, 0.0) + bought,
        charge=cells.charge,
        discharge=cells.discharge,
        sold=cells.sold,
        bought=cells.bought,
        stored=cells.stored,
        shared_charge=cells.shared_charge,
        shared_surplus=cells.shared_surplus,
        shared_discharge=cells.shared_discharge,
        shared_sold=cells.shared_sold,
        shared_bought=cells.shared_bought,
        shared_stored=cells.shared_stored,
        conversion=conversion,
    )
