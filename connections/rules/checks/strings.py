"""Strings of panels on the trackers of an inverter: voltages, working window and currents.

Optimisers and micro-inverters settle voltage and current at each panel: nothing is checked there.
"""

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from connections.electrical.rounding import outwards
from connections.electrical.strings import parallel_a, string_v
from connections.facts.defaults import known, rating
from connections.facts.site import Array, DcInput, Panel, PanelString
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import Output, panels_behind
from connections.rules.checks.basis.runs import Runs
from connections.rules.checks.basis.types import Check, CheckKind, amount
from connections.rules.checks.basis.working import STEP, Ground, Working, shown


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check the strings of every unit whose strings, panels or DC inputs are stated in detail."""
    for output in runs.outputs:
        yield from _of_unit(ground, output)


STRINGS = CheckKind("strings", "strings")
VOLTAGE = failing(
    "string-voltage",
    "strings",
    "Is a string's voltage at the coldest cell above what its tracker bears?",
)
WINDOW_LOW = failing(
    "string-window-low",
    "strings",
    "Is a string's working voltage at the hottest cell below its tracker's window?",
    severity="inform",
)
WINDOW_HIGH = failing(
    "string-window-high",
    "strings",
    "Is a string's working voltage at the coldest cell above its tracker's window?",
    severity="inform",
)
CURRENT = failing(
    "string-current",
    "strings",
    "Is the working current of strings in parallel above what their tracker takes?",
    severity="inform",
)
SHORT_CIRCUIT = failing(
    "string-short-circuit",
    "strings",
    "Is the short-circuit current of strings in parallel above what their tracker bears?",
    severity="stops",
    agreement=False,
)
FUSES = failing(
    "string-fuses",
    "strings",
    "Are so many strings in parallel that each needs a fuse?",
    severity="inform",
)

FINDINGS = frozenset(
    kind.finding.id
    for kind in (VOLTAGE, WINDOW_LOW, WINDOW_HIGH, CURRENT, SHORT_CIRCUIT, FUSES)
    if kind.finding is not None
)


class _Placed(Struct, frozen=True):
    """Like strings on a tracker, and the panel that they are made of, with their paths."""

    name: str
    path: str
    string: PanelString
    panel_path: str
    panel: Panel

    def figure(self, w: Working, field: str, unit: str, words: str) -> int | None:
        """A figure of the panel, as an input or a need."""
        return _figure(w, getattr(self.panel, field), f"{self.panel_path}.{field}", unit,
                       words, f"of {self.name}")  # fmt: skip

    def number(self, w: Working, field: str, words: str) -> int | None:
        """How many are in series or in parallel, as an input or a need."""
        return _figure(w, getattr(self.string, field), f"{self.path}.{field}", "",
                       words, f"of {self.name}")  # fmt: skip

    def coefficient(self, w: Working) -> int | None:
        """The coefficient of the open-circuit voltage [ppm/K]; it is below zero."""
        path, stated = f"{self.panel_path}.voc_ppm_k", self.panel.voc_ppm_k
        if not isinstance(stated, int) or stated >= 0:
            words = "coefficient of open-circuit voltage, which is below zero,"
            w.need(f"the {words} of {self.name}", path, stated)
            return None
        percent = f"{Decimal(stated) / 10_000:f} %/°C"
        w.fact(f"coefficient of open-circuit voltage of {self.name}", path, stated, percent)
        return stated


class _Tracker(Struct, frozen=True):
    """A tracker of a unit with the strings on it."""

    ground: Ground
    subject: str
    path: str
    input: DcInput
    strings: list[_Placed]

    def working(self, kind: CheckKind, title: str, formula: str) -> Working:
        """The working of one check of this tracker, with where the strings are."""
        w = Working(self.ground, kind, self.subject, title, formula)
        w.read((f"{one.path}.tracker", one.string.tracker) for one in self.strings)
        return w

    def takes(self, w: Working, field: str, unit: str, words: str) -> int | None:
        """A limit of the tracker, as an input or a need."""
        return _figure(w, getattr(self.input, field), f"{self.path}.{field}", unit,
                       words, f"of {self.subject}")  # fmt: skip


def _figure(w: Working, stated: object, path: str, unit: str, words: str, whose: str) -> int | None:
    if not isinstance(stated, int) or stated <= 0:
        w.need(f"the {words} {whose}", path, stated)
        return None
    w.fact(f"{words} {whose}", path, stated, shown(stated, unit))
    return stated


def _of_unit(ground: Ground, output: Output) -> Iterator[Check]:
    unit, arrays = output.unit, panels_behind(ground, output.unit)
    inputs = known(unit.dc_inputs) or ()
    detailed = any(known(a.panel) or isinstance(a.strings, tuple) for _, a in arrays)
    if not arrays or not (inputs or detailed):
        return
    if known(unit.panel_electronics) in ("optimisers", "micro-inverters"):
        return
    lacking = Working(ground, STRINGS, unit.id, "Strings on their trackers")
    trackers = _trackers(ground, output, arrays, inputs, lacking)
    if not lacking.needs:
        for tracker in trackers:
            for w, found in _made(tracker):
                if found is not None:
                    yield found
                lacking.needs.update(w.needs)
                lacking.reads.update(w.reads)
    if lacking.needs:
        yield lacking.missing()


def _trackers(
    ground: Ground,
    output: Output,
    arrays: list[tuple[int, Array]],
    inputs: tuple[DcInput, ...],
    lacking: Working,
) -> list[_Tracker]:
    """The trackers with strings on them; `lacking` takes what is not known of where they are."""
    unit, path = output.unit, output.path
    lacking.read(((f"{path}.panel_electronics", unit.panel_electronics),))
    if unit.panel_electronics is None:
        lacking.need(f"what is fitted at the panels of {unit.id}")
    if not inputs:
        words = f"what the DC inputs of {unit.id} take"
        lacking.need(words, f"{path}.dc_inputs", unit.dc_inputs)
    if output.quantity != 1:
        words = f"{unit.id} as one unit a line, each with its own strings"
        lacking.need(words, f"{path}.quantity", unit.quantity)
    at: dict[int, list[_Placed]] = {}
    for i, array in arrays:
        called = f"panels {i + 1}"
        lacking.read(((f"arrays[{i}].unit_id", array.unit_id),))
        if not isinstance(array.strings, tuple) or not array.strings:
            words = f"the panels in series and the tracker of each string of {called}"
            lacking.need(words, f"arrays[{i}].strings", array.strings)
            continue
        for j, string in enumerate(array.strings):
            where = f"arrays[{i}].strings[{j}]"
            only = inputs[0].tracker if len(inputs) == 1 else None
            number = rating(string.tracker) or only
            if number is None:
                words = f"the tracker of each string of {called}"
                lacking.need(words, f"{where}.tracker", string.tracker)
                continue
            panel = known(array.panel) or Panel()
            placed = _Placed(called, where, string, f"arrays[{i}].panel", panel)
            at.setdefault(number, []).append(placed)
    places = {one.tracker: k for k, one in enumerate(inputs)}
    for number in sorted(at.keys() - places.keys() if inputs else ()):
        lacking.need(f"what tracker {number} of {unit.id} takes", f"{path}.dc_inputs", inputs)
    return [
        _Tracker(ground, f"{unit.id}, tracker {n}", f"{path}.dc_inputs[{places[n]}]",
                 inputs[places[n]], at[n])
        for n in sorted(at.keys() & places.keys())
    ]  # fmt: skip


def _made(tracker: _Tracker) -> Iterator[tuple[Working, Check | None]]:
    """Each check of a tracker; None in the place of one that lacks a fact."""
    yield _voltage(tracker)
    yield _window(tracker, WINDOW_LOW)
    yield _window(tracker, WINDOW_HIGH)
    yield _working_current(tracker)
    yield _short_circuit(tracker)
    fuses = _fuses(tracker)
    if fuses is not None:
        yield fuses


def _voltage(tracker: _Tracker) -> tuple[Working, Check | None]:
    w = tracker.working(
        VOLTAGE, "Largest voltage of the strings",
        "panels in series × (Voc + coefficient × Voc × (coldest cell − 25 °C)) ≤ largest voltage",
    )  # fmt: skip
    coldest, factor = w.default("string.coldest"), w.limit("string.voltage_factor", "cross-check")
    most = tracker.takes(w, "max_mv", "mV", "largest DC voltage")
    values = []
    for one in tracker.strings:
        n = one.number(w, "in_series", "panels in series")
        voc = one.figure(w, "voc_mv", "mV", "open-circuit voltage")
        ppm = one.coefficient(w)
        if n and voc and ppm and coldest is not None and factor is not None:
            v = string_v(in_series=n, mv=voc, voc_mv=voc, voc_ppm_k=ppm, cell_c=coldest)
            values.append(v)
            w.line(
                f"{n} panels in series at {coldest} °C: {_up(v)} V "
                f"(cross-check: {Decimal(factor) / 1000:f} × {shown(n * voc, 'mV')} = "
                f"{_up(Decimal(n * voc * factor) / 10**6)} V)"
            )
    if w.needs or most is None:
        return w, None
    return w, w.compared(max(values), Decimal(most) / 1000, "V")


def _window(tracker: _Tracker, kind: CheckKind) -> tuple[Working, Check | None]:
    low = kind is WINDOW_LOW
    cell, end = ("hottest", "from") if low else ("coldest", "to")
    w = tracker.working(
        kind, f"Working voltage of the strings at the {cell} cell",
        f"panels in series × (Vmp + coefficient × Voc × ({cell} cell − 25 °C)) "
        f"{'≥ lowest' if low else '≤ highest'} working voltage",
    )  # fmt: skip
    cell_c = w.default(f"string.{cell}")
    limit = tracker.takes(
        w, "window_min_mv" if low else "window_max_mv", "mV",
        "lowest working voltage" if low else "highest working voltage",
    )  # fmt: skip
    values = []
    for one in tracker.strings:
        n = one.number(w, "in_series", "panels in series")
        vmp = one.figure(w, "vmp_mv", "mV", "voltage at most power")
        voc = one.figure(w, "voc_mv", "mV", "open-circuit voltage")
        ppm = one.coefficient(w)
        if n and vmp and voc and ppm and cell_c is not None:
            v = string_v(in_series=n, mv=vmp, voc_mv=voc, voc_ppm_k=ppm, cell_c=cell_c)
            values.append(v)
            w.line(f"{n} panels in series at {cell_c} °C: {_down(v) if low else _up(v)} V")
    if w.needs or limit is None:
        return w, None
    w.line(f"The tracker works {end} {shown(limit, 'mV')}; outside, the panels give less.")
    bound = Decimal(limit) / 1000
    if low:
        return w, w.compared(min(values), bound, "V", "at least")
    return w, w.compared(max(values), bound, "V")


def _together(tracker: _Tracker, w: Working, field: str, words: str) -> Decimal:
    """The current of all strings of the tracker [A]; what is not known is a need."""
    found = []
    for one in tracker.strings:
        n = one.number(w, "in_parallel", "strings in parallel")
        ma = one.figure(w, field, "mA", words)
        if n and ma:
            found.append((n, ma))
            w.line(f"{n} × {shown(ma, 'mA')} = {amount(parallel_a([(n, ma)]), 'A')}")
    return parallel_a(found)


def _working_current(tracker: _Tracker) -> tuple[Working, Check | None]:
    w = tracker.working(
        CURRENT, "Working current of the strings",
        "Σ strings in parallel × Imp ≤ largest working current of the tracker",
    )  # fmt: skip
    most = tracker.takes(w, "max_operating_ma", "mA", "largest working current")
    current = _together(tracker, w, "imp_ma", "current at most power")
    if w.needs or most is None:
        return w, None
    w.line("Above its largest working current the tracker clips, and the panels give less")
    return w, w.exactly(current, Decimal(most) / 1000, "A")


def _short_circuit(tracker: _Tracker) -> tuple[Working, Check | None]:
    w = tracker.working(
        SHORT_CIRCUIT, "Short-circuit current of the strings",
        "Σ strings in parallel × Isc ≤ largest short-circuit current of the tracker",
    )  # fmt: skip
    factor = w.limit("string.current_factor", "conductors and isolator")
    most = tracker.takes(w, "max_short_circuit_ma", "mA", "largest short-circuit current")
    current = _together(tracker, w, "isc_ma", "short-circuit current")
    if w.needs or most is None or factor is None:
        return w, None
    share = Decimal(factor) / 1000
    w.line(
        f"Conductors and DC isolator: {share:f} × {amount(current, 'A')} = "
        f"{_up(share * current)} A at least"
    )
    return w, w.exactly(current, Decimal(most) / 1000, "A")


def _fuses(tracker: _Tracker) -> tuple[Working, Check | None] | None:
    w = tracker.working(
        FUSES, "Fuses of strings in parallel", "strings in parallel < those that need fuses"
    )
    many = w.limit("string.fuses_from", "fuses from")
    numbers = [one.number(w, "in_parallel", "strings in parallel") for one in tracker.strings]
    if w.needs or many is None:
        return w, None
    total = sum(number or 0 for number in numbers)
    if total < many:
        return None
    w.line("The others feed their current back into a string with a fault")
    return w, w.lacks(f"the {total} strings in parallel on {tracker.subject} need a fuse each")


def _up(value: Decimal) -> str:
    return amount(outwards(value, STEP, "at most"), "")


def _down(value: Decimal) -> str:
    return amount(outwards(value, STEP, "at least"), "")
