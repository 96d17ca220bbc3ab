"""The circuit of each unit: design current, device, drop while charging; and boards."""

from collections.abc import Iterator
from decimal import Decimal
from math import ceil

from connections.electrical.circuit import board_sum_a
from connections.facts.defaults import known, rating
from connections.facts.devices import MAIN_NAMES, device_kind, on_dc_side, plain
from connections.facts.site import Protection
from connections.rules.checks.basis.failing import failing, in_sentences
from connections.rules.checks.basis.plant import (
    PHASES,
    Output,
    charging_w,
    read_cells,
    read_tap,
    tap_of,
)
from connections.rules.checks.basis.runs import Runs
from connections.rules.checks.basis.types import Check, CheckKind, amount
from connections.rules.checks.basis.working import Ground, Working
from connections.rules.kinds import Kind

OVERCURRENT = ("breaker", "rcbo", "fuse")


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check every unit's circuit except its cables, and every board fed from two sides."""
    for output in runs.outputs:
        yield design_current(ground, output)
        yield from device(ground, output)
        yield from charging(ground, runs, output)
    yield from boards(ground, runs)


DESIGN_CURRENT = CheckKind("design-current", "circuit")


def design_current(ground: Ground, output: Output) -> Check:
    """Show the design current beside the current of the procedure, to tell them apart."""
    w = _working(
        ground, DESIGN_CURRENT, output, "Design current",
        "S / V for one phase, S / (√3 × 400 V) for three, S = √(P² + Q²); a declared maximum "
        "output current wins",
    )  # fmt: skip
    if not output.state(w):
        return w.missing()
    _states_va(w, output)

    def work() -> Check:
        current = output.design_a()
        p, q = output.one
        w.line(
            f"P {p / 1000:.3f} kW, Q {q / 1000 or 0:+.3f} kvar, S {output.apparent_va() / 1000:.3f}"
            f" kVA: {current:.3f} A on each phase of one unit."
        )
        nominal = ground.ready.nominal_mv / 1000
        procedure = (output.rated_w or 0) / output.line.phases / nominal
        w.line(
            f"The procedure counts {procedure:.3f} A ({nominal:g} V, unity power factor)"
            + ("; the design current is higher." if current > procedure + 0.0005 else ".")
        )
        return w.listed(Decimal(f"{current:.3f}"), "A")

    return w.attempt(work)


DEVICE = failing(
    "device-current",
    "circuit",
    "Is a protective device below the design current?",
)
DEVICE_CHOICE = CheckKind(
    "device-choice",
    "circuit",
    Kind(
        "caution-device-choice",
        "inform",
        "Is a protective device below what many choose for generation?",
        lambda v: (
            f"The protective device of {v['subject']} is {v['limit']}; many choose {v['value']} or "
            "more for generation, which flows for hours.",
            f"Common practice, no rule. {in_sentences(v['workings'])}",
        ),
    ),
)


def device(ground: Ground, output: Output) -> Iterator[Check]:
    """Check that the protective device carries the design current, and by common choice 25 %
    more."""
    found = devices_of(ground, output.unit.id)
    for kind, title, share_key in (
        (DEVICE, "Protective device carries the design current", ""),
        (DEVICE_CHOICE, "Protective device as many choose it", "cable.device_share"),
    ):
        w = _working(ground, kind, output, title, "Ib ≤ In" if not share_key else "1.25 Ib ≤ In")
        ready = output.state(w)
        _states_va(w, output)
        share = w.default(share_key) if share_key else 1000
        if not found:
            if not ground.site.protection and share_key:
                continue
            w.need(f"the protective device of {output.unit.id}", "protection")
        for i, entry in found:
            state_rating(w, i, entry)
        rated = [rating(entry.rating_a) for _, entry in found]
        if not ready or share is None or not found or any(value is None for value in rated):
            if not share_key:
                yield w.missing()
            continue

        smallest = min(value for value in rated if value)
        each = ceil((output.quantity or 1) / len(found))

        def work(w: Working = w, n: float = each * share / 1000, most: int = smallest) -> Check:
            carried = output.design_a() * n
            w.line(f"{n:g} × {output.design_a():.3f} A = {carried:.3f} A; the device is {most} A.")
            return w.compared(carried, most, "A")

        yield w.attempt(work)


CHARGING = failing(
    "charging-drop",
    "circuit",
    "Does the voltage drop too far in the run of a unit while storage charges?",
)


def charging(ground: Ground, runs: Runs, output: Output) -> Iterator[Check]:
    """The drop in the run while storage charges from the network."""
    if charging_w(ground, output) == 0.0:
        return
    w = _working(
        ground, CHARGING, output, "Voltage drop while storage charges",
        "as the voltage rise, with the charging power taken from the network",
    )  # fmt: skip
    limit = w.limit("voltage_rise.drop_limit")
    ready = output.state(w)
    read_cells(w, output)
    ready = runs.state(w, output.unit.id) and ready
    if limit is None or not ready or w.needs:
        yield w.missing()
        return

    def work() -> Check:
        nominal = ground.nominal_v
        at = runs.voltages(nominal, charging=True)[runs.end_of(output.unit.id)]
        lowest = min(at.v[k] for k, phase in enumerate(PHASES) if phase in output.unit.phases)
        w.line(f"{nominal:.3f} V to {lowest:.3f} V: a drop of {nominal - lowest:.3f} V.")
        return w.compared(
            (nominal - lowest) / nominal * 100, Decimal(limit or 0) / 10, "%", of_v=nominal
        )

    yield w.attempt(work)


BOARDS = failing(
    "board-sum",
    "circuit",
    "Is a board that is fed from two sides rated below its devices together?",
)


def boards(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check the assembly of each board fed from the supply and from units.

    Storage that is tapped from the tails stands on a board of its own; storage tapped from the
    consumer unit counts there, whichever board stands between.
    """
    for output in runs.outputs:
        tapped = tap_of(ground, output.unit) == "service-connectors"
        if tapped and plain(known(output.unit.feeds_from) or "main") in MAIN_NAMES:
            w = Working(ground, BOARDS, output.unit.id, "Board fed from two sides")
            read_tap(w, output.unit)
            words = f"the board of its own that {output.unit.id} feeds, behind the connector block"
            w.need(words, f"{output.path}.feeds_from", output.unit.feeds_from)
            yield w.missing()
    for n, board in enumerate(ground.site.boards or ()):
        name = plain(board.id)
        main = name in MAIN_NAMES
        fed = [output for output in runs.outputs if _stands_on(ground, output, name)]
        if not fed:
            continue
        w = Working(
            ground, BOARDS, board.id, "Board fed from two sides",
            "InA ≥ In + Σ Ig: the incoming device and the device of every source",
        )  # fmt: skip
        path = f"boards[{n}]"
        rated, incoming = rating(board.rating_a), rating(board.incoming_a)
        if incoming is None and main:
            incoming = rating(ground.site.supply.cutout_a)
            w.taken(
                "incoming device", "supply.cutout_a", incoming,
                f"the cut-out, {incoming} A" if incoming else "the cut-out",
            )  # fmt: skip
        elif incoming is not None:
            w.fact("incoming device", f"{path}.incoming_a", incoming, f"{incoming} A")
        if rated is None:
            w.need(f"the rating of the board {board.id}", f"{path}.rating_a", board.rating_a)
        else:
            w.fact("rating of the board", f"{path}.rating_a", rated, f"{rated} A")
        if incoming is None:
            w.need(f"the incoming device of the board {board.id}", f"{path}.incoming_a", None)
        sources: list[int] = []
        for output in fed:
            w.read(((f"{output.path}.feeds_from", output.unit.feeds_from),))
            read_tap(w, output.unit)
            for i, entry in devices_of(ground, output.unit.id) or ((-1, None),):
                value = rating(entry.rating_a) if entry is not None else None
                if entry is None or value is None:
                    w.need(f"the protective device of {output.unit.id}", "protection")
                else:
                    state_rating(w, i, entry)
                    sources.append(value)
        if w.needs or rated is None or incoming is None:
            yield w.missing()
            continue
        total = board_sum_a(float(incoming), tuple(float(a) for a in sources))
        w.line(" + ".join(f"{a} A" for a in (incoming, *sources)) + f" = {total:g} A.")
        yield w.exactly(int(total), rated, "A")


def _stands_on(ground: Ground, output: Output, name: str) -> bool:
    """Whether a unit feeds a board, named in the form that `plain` gives."""
    own = plain(known(output.unit.feeds_from) or "main")
    if name in MAIN_NAMES:
        tap = tap_of(ground, output.unit)
        return tap != "service-connectors" and (tap is not None or own in MAIN_NAMES)
    return own == name


def devices_of(ground: Ground, unit_id: str) -> list[tuple[int, Protection]]:
    """The over-current devices of a unit on its AC side."""
    return ground.once(_devices).get(unit_id, [])


def _devices(ground: Ground) -> dict[str, list[tuple[int, Protection]]]:
    """The over-current devices on the AC side, by what they serve."""
    found: dict[str, list[tuple[int, Protection]]] = {}
    for i, entry in enumerate(ground.site.protection):
        if device_kind(entry) in OVERCURRENT and not on_dc_side(entry):
            found.setdefault(known(entry.serves) or "", []).append((i, entry))
    return found


def _working(ground: Ground, kind: CheckKind, output: Output, title: str, formula: str) -> Working:
    return Working(ground, kind, output.unit.id, title, formula)


def state_rating(w: Working, i: int, entry: Protection) -> None:
    """Record the rating of a device."""
    path = f"protection[{i}]"
    w.read(((f"{path}.kind", entry.kind), (f"{path}.serves", entry.serves)))
    value = rating(entry.rating_a)
    if value is None:
        w.need(f"the rating of the {entry.kind} of {entry.serves}", f"{path}.rating_a")
    else:
        w.fact(f"{entry.kind} of {entry.serves}", f"{path}.rating_a", value, f"{value} A")


def _states_va(w: Working, output: Output) -> None:
    stated = rating(output.unit.rated_va)
    w.read(((f"{output.path}.rated_va", output.unit.rated_va),))
    if stated and rating(output.unit.rated_w):
        words = amount(stated / 1000, "kVA")
        w.fact(f"apparent power of {output.unit.id}", f"{output.path}.rated_va", stated, words)
