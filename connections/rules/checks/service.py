"""Generation against the service; household load is not credited."""

from collections.abc import Iterator

from connections.electrical.phase_sums import SCALE_PER_W
from connections.facts.defaults import known, rating
from connections.facts.devices import MAIN_NAMES, plain
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import Output, outputs_of, read_tap, tap_of
from connections.rules.checks.basis.types import Check, CheckKind, amount
from connections.rules.checks.basis.working import Ground, Working
from connections.rules.deciding_facts import limit_of, limit_per_phase

TITLE = "Registered capacity against the cut-out"


REGISTERED = failing(
    "service-registered",
    "service",
    "Is the registered capacity of a phase above the cut-out?",
)
BOARD = failing(
    "service-board",
    "service",
    "Is the registered capacity of a phase above the main board?",
)


def checks(ground: Ground) -> Iterator[Check]:
    """Check per phase: aggregate against cut-out and main board, and the fail-safe export limit."""
    outputs = outputs_of(ground)
    if not outputs:
        return
    cutout = ground.site.supply.cutout_a
    for k, phase in enumerate(ground.phases):
        on_phase = [output for output in outputs if phase in output.unit.phases]
        if not on_phase:
            continue
        w = _working(ground, REGISTERED, phase, TITLE, on_phase)
        rated = rating(cutout)
        if rated is None:
            w.need("the rating of the cut-out", "supply.cutout_a", cutout)
        else:
            w.fact("rating of the cut-out", "supply.cutout_a", rated, f"{rated} A")
        yield _against(w, on_phase, rated)
        for n, board in enumerate(ground.site.boards or ()):
            if plain(board.id) in MAIN_NAMES and rating(board.rating_a):
                on_board = [
                    output
                    for output in on_phase
                    if tap_of(ground, output.unit) != "service-connectors"
                ]
                w = _working(
                    ground, BOARD, f"{phase}, {board.id}",
                    "Registered capacity against the board", on_board,
                )  # fmt: skip
                for output in on_phase:
                    read_tap(w, output.unit)
                path = f"boards[{n}].rating_a"
                w.fact("rating of the board", path, board.rating_a, f"{board.rating_a} A")
                yield _against(w, on_board, rating(board.rating_a))
        if rated is not None:
            yield from _limited(ground, k, phase, rated, on_phase)


def _working(
    ground: Ground, kind: CheckKind, phase: str, title: str, outputs: list[Output]
) -> Working:
    w = Working(
        ground, kind, phase, title,
        "Σ quantity × registered capacity / phases, divided by the design voltage",
    )  # fmt: skip
    for output in outputs:
        _capacity(w, output)
    stated = ground.site.supply.nominal_v
    words = amount(ground.stated_nominal_v, "V phase to neutral")
    if known(stated):
        w.fact("design voltage", "supply.nominal_v", stated, words)
    else:
        w.taken("design voltage", "supply.nominal_v", stated, words)
    return w


def _capacity(w: Working, output: Output) -> None:
    unit, path = output.unit, output.path
    w.read(((f"{path}.phases", tuple(unit.phases)), (f"{path}.quantity", unit.quantity)))
    if output.rated_w is None or output.quantity is None:
        w.need(f"capacity and number of {unit.id}", f"{path}.rated_w", unit.rated_w)
        return
    words = amount(output.rated_w / 1000, "kW")
    w.fact(f"registered capacity of {unit.id}", f"{path}.rated_w", unit.rated_w, words)


def _against(w: Working, outputs: list[Output], rated: int | None) -> Check:
    if w.needs or rated is None:
        return w.missing()
    scaled = sum(
        (output.rated_w or 0) * SCALE_PER_W // output.line.phases * (output.quantity or 0)
        for output in outputs
    )
    current = scaled / SCALE_PER_W / w.ground.stated_nominal_v
    terms = " + ".join(
        f"{output.quantity} × {(output.rated_w or 0) / 1000:g} kW / {output.line.phases}"
        for output in outputs
    )
    w.line(f"{terms} = {scaled / SCALE_PER_W / 1000:.3f} kW on the phase")
    w.line(f"{scaled / SCALE_PER_W:.3f} W / {w.ground.stated_nominal_v} V = {current:.3f} A")
    return w.compared(current, rated, "A")


LIMITED = failing(
    "service-limited",
    "service",
    "Is an export limit above the cut-out?",
)


def _limited(
    ground: Ground, k: int, phase: str, rated: int, outputs: list[Output]
) -> Iterator[Check]:
    """The second line: the export that a fail-safe scheme allows; it never replaces the first."""
    limit = limit_of(ground.site, "export")
    if limit is None or limit.value is None:
        return
    w = Working(
        ground, LIMITED, phase, "Export limit against the cut-out",
        "the limit of a scheme that keeps it on a fault, on the phase; not a smaller machine",
    )  # fmt: skip
    w.fact(
        "export limit", "limits.export.value", limit.value, _limit_words(limit.basis, limit.value)
    )
    w.read((f"limits.export.{name}", getattr(limit, name)) for name in ("basis", "nets_phases"))
    w.fact("rating of the cut-out", "supply.cutout_a", rated, f"{rated} A")
    if known(limit.fail_safe) is not True:
        said = "does not" if limit.fail_safe is False else "is not known to"
        w.read((("limits.export.fail_safe", limit.fail_safe),))
        w.line(f"The scheme {said} fall back to its limit on a fault: not set beside the cut-out.")
        yield w.listed()
        return
    w.fact("keeps it on a fault", "limits.export.fail_safe", True, "yes")
    bound = limit_per_phase(limit, len(ground.phases), ground.stated_nominal_v * 1000)
    current = (bound or 0) / 6 / (ground.stated_nominal_v * 1000) / 1000
    w.line(f"The scheme lets {current:.3f} A out on {phase}.")
    yield w.compared(current, rated, "A")


def _limit_words(basis: str, value: int) -> str:
    unit = {"ma_per_phase": "A a phase", "w_total": "kW in all"}.get(basis, "kVA in all")
    return amount(value / 1000, unit)
