"""Work out a check: inputs with their origin, workings, and the comparison.

All checks of a site share a `Ground`. A `Working` gathers one check and ends in one of `compared`,
`exactly`, `lacks`, `listed`, `missing` or `impossible`.
"""

from collections.abc import Callable, Iterable
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import Any, TypeVar

from msgspec import structs

from connections.electrical.electrical_errors import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.rounding import Bound, compare
from connections.facts.defaults import known
from connections.facts.site import Loads, Network, Override, Site
from connections.rulebook.book import Source, Value
from connections.rules.checks.basis.types import (
    Check,
    CheckKind,
    Input,
    PlotData,
    Result,
    amount,
)
from connections.rules.kinds import Read
from connections.rules.plant import Line
from connections.rules.table import Ready

_T = TypeVar("_T")

STEP = Decimal("0.001")
"""Rounding step of computed values in their unit: millivolts, milliamps, thousandths of an ohm or
of a per cent. Our choice: finer than measurements, coarser than float errors."""

DEFAULTS: dict[str, str] = {
    "voltage_rise.network_highest": "highest voltage at the supply terminals",
    "voltage_rise.power_factor": "power factor",
    "voltage_rise.neutral_share": "the neutral's part of the loop",
    "voltage_rise.reference_resistance": "resistance of the network's largest loop",
    "voltage_rise.reference_reactance": "reactance of the network's largest loop",
    "cable.material": "conductor",
    "cable.temperature": "conductor temperature",
    "cable.temperature_thermosetting": "conductor temperature",
    "cable.reactance": "reactance of a metre",
    "cable.ambient_air": "temperature of the air",
    "cable.ambient_ground": "temperature of the ground",
    "cable.fault_time": "duration of a fault",
    "cable.device_share": "device over design current",
    "fault.network_single": "declared prospective fault current",
    "fault.network_three": "declared prospective fault current",
    "fault.inverter_factor": "an inverter's part in a fault",
    "string.coldest": "coldest cell",
    "string.hottest": "hottest cell",
}
"""Defaults that an engineer can override, in words. Limits are not defaults; a local entry changes
those."""

_SHOWN: dict[str, tuple[int, str]] = {
    "mA": (1000, "A"),
    "mV": (1000, "V"),
    "uohm": (1_000_000, "ohm"),
    "celsius": (1, "°C"),
    "thousandths": (1000, ""),
    "ms": (1000, "s"),
    "W": (1000, "kW"),
    "VA": (1000, "kVA"),
}


GATHERED = CheckKind("", "voltage")
"""Not a real check: gathers inputs once for several checks."""


@lru_cache(maxsize=1024)
def shown(value: int, unit: str) -> str:
    """A whole number of a rulebook's or site file's unit, for readers."""
    divisor, name = _SHOWN.get(unit, (1, unit))
    if unit == "uohm" and 0 < value < 1000:
        return amount(Decimal(value) / 1000, "mohm")
    return amount(Decimal(value) / divisor, name)


class Ground:
    """Data that all checks of one site share."""

    def __init__(self, site: Site, ready: Ready, lines: list[Line]) -> None:
        self.site, self.ready, self.lines = site, ready, lines
        self.values = ready.book.values
        self.overrides: dict[str, tuple[int, Override]] = {
            override.key: (i, override) for i, override in enumerate(self.site.overrides or ())
        }
        self._stated: dict[object, Working] = {}
        self._sources: dict[tuple[str, ...], tuple[str, ...]] = {}
        self._made: dict[object, Any] = {}

    def sources(self, keys: tuple[str, ...]) -> tuple[str, ...]:
        """Sources of the values of these keys in words, each once."""
        found = self._sources.get(keys)
        if found is None:
            found = tuple(dict.fromkeys(_in_words(self.values[key].source) for key in keys))
            self._sources[keys] = found
        return found

    def stated(self, what: object, state: "Callable[[Working], None]") -> "Working":
        """The inputs that `state` records, gathered once for `what`."""
        found = self._stated.get(what)
        if found is None:
            found = self._stated[what] = Working(self, GATHERED, "", "")
            state(found)
        return found

    def once(self, make: "Callable[[Ground], _T]") -> _T:
        """The result of `make` for this ground, cached."""
        found: _T | None = self._made.get(make)
        if found is None:
            found = self._made[make] = make(self)
        return found

    @cached_property
    def phases(self) -> tuple[str, ...]:
        """The phases of the supply."""
        return ("L1", "L2", "L3")[: self.site.supply.phases]

    @cached_property
    def nominal_v(self) -> float:
        """Nominal voltage of the supply, phase to neutral [V]; for three phases 230 means 400 V
        between lines."""
        stated = self.stated_nominal_v
        return 400 / 3**0.5 if self.site.supply.phases == 3 and stated == 230 else float(stated)

    @cached_property
    def stated_nominal_v(self) -> int:
        """The nominal voltage as stated or by default [V]."""
        return known(self.site.supply.nominal_v) or 230

    @cached_property
    def loads(self) -> Loads | None:
        """The demand of the site, if it states any."""
        found = self.site.loads
        return found if isinstance(found, Loads) else None

    @cached_property
    def assumed_mv(self) -> int | None:
        """The assumed voltage of the network [mV], if the site states it."""
        found = self.site.network
        return known(found.assumed_voltage_mv) or None if isinstance(found, Network) else None

    def figure(self, key: str) -> int | None:
        """A default as used: an engineer's figure, or that of the rulebook."""
        value = self.held(key)
        if key in self.overrides and override_fault(self.overrides[key][1], value) is None:
            return self.overrides[key][1].value
        if value is None or isinstance(value.amount, bool) or not isinstance(value.amount, int):
            return None
        return value.amount

    def held(self, key: str) -> Value | None:
        """A value of the rulebook, or None if it holds none."""
        return self.values.get(key)


class Working:
    """One check in progress. `line` adds a line of the workings."""

    __slots__ = (
        "ceilings", "formula", "ground", "inputs", "keys", "kind", "line", "lines", "needs",
        "plot", "reads", "says", "subject", "title",
    )  # fmt: skip

    def __init__(
        self, ground: Ground, kind: CheckKind, subject: str, title: str, formula: str = ""
    ) -> None:
        self.ground = ground
        self.kind, self.subject, self.title, self.formula = kind, subject, title, formula
        self.inputs: dict[tuple[str, str], Input] = {}
        self.lines: list[str] = []
        self.line = self.lines.append
        self.needs: dict[str, None] = {}
        self.keys: dict[str, None] = {}
        self.reads: dict[str, object] = {}
        self.plot: PlotData | None = None
        self.says = ""
        self.ceilings: dict[str, None] = {}

    # --- inputs

    def fact(self, name: str, path: str, value: object, words: str) -> None:
        """Record an input from the site, with its value in words."""
        self.reads[path] = value
        self.inputs[name, path] = Input(name, words, "site", path)

    def read(self, reads: Iterable[Read]) -> None:
        """Record facts behind the check that are not inputs."""
        self.reads.update(reads)

    def computed(self, name: str, words: str) -> None:
        """Record an input from another check, or one that follows from the facts."""
        self.inputs[name, ""] = Input(name, words, "computed")

    def taken(self, name: str, path: str, value: object, words: str) -> None:
        """Record a fact that is left out, and the assumption in its place."""
        self.reads[path] = value
        self.inputs[name, path] = Input(name, words, "assumed", path)

    def default(self, key: str) -> int | None:
        """A default of the rulebook, or the engineer's figure in its place; None if neither."""
        value = self._value(key)
        if value is None:
            return None
        name = DEFAULTS[key]
        if key in self.ground.overrides:
            i, override = self.ground.overrides[key]
            self.reads[f"overrides[{i}].value"] = override.value
            self.reads[f"overrides[{i}].reason"] = override.reason
            if override_fault(override, value) is None:
                self.inputs[name, key] = Input(
                    name, shown(override.value, value.unit), "overridden", key, override.reason
                )
                return override.value
        whole = value.amount
        if isinstance(whole, bool) or not isinstance(whole, int):
            return None
        self.inputs[name, key] = Input(name, shown(whole, value.unit), "assumed", key)
        return whole

    def limit(self, key: str, name: str = "limit") -> int | None:
        """A limit of the rulebook as a whole number; None, and a need, if it holds none."""
        value = self._value(key)
        if value is None or isinstance(value.amount, bool) or not isinstance(value.amount, int):
            return None
        self.inputs[name, key] = Input(name, value.written, "rulebook", key)
        return value.amount

    def words(self, key: str) -> tuple[str, ...]:
        """A list of the rulebook; empty, and a need, if it holds none."""
        value = self._value(key)
        return value.amount if value is not None and isinstance(value.amount, tuple) else ()

    def text(self, key: str) -> str:
        """A word of the rulebook, used as a default."""
        value = self._value(key)
        if value is None or not isinstance(value.amount, str):
            return ""
        self.inputs[DEFAULTS[key], key] = Input(DEFAULTS[key], value.amount, "assumed", key)
        return value.amount

    def flag(self, key: str) -> bool:
        """A yes-no value of the rulebook; no if it holds none."""
        value = self.ground.held(key)
        if value is None:
            return False
        self.keys[key] = None
        return value.amount is True

    def _value(self, key: str) -> Value | None:
        value = self.ground.values.get(key)
        if value is None:
            self.need(f"the rulebook's {key}, which it does not hold")
        else:
            self.keys[key] = None
        return value

    def need(self, words: str, path: str = "", value: object = None) -> None:
        """Record a missing fact, and its path."""
        self.needs[words] = None
        if path:
            self.reads[path] = value

    def at_most(self, words: str) -> None:
        """Record that an input is a figure at its worst: it can prove that a limit is kept, but not
        that it is passed. `words` name the fact that would tell."""
        self.ceilings[words] = None

    def take(self, other: "Working") -> None:
        """Copy everything from another working: shared inputs are recorded once."""
        self.inputs.update(other.inputs)
        self.reads.update(other.reads)
        if other.keys:
            self.keys.update(other.keys)
        if other.ceilings:
            self.ceilings.update(other.ceilings)
        if other.needs:
            self.needs.update(other.needs)

    # --- ends

    def compared(
        self,
        value: float | Decimal,
        limit: Decimal | int,
        unit: str,
        bound: Bound = "at most",
        *,
        of_v: float = 0.0,
    ) -> Check:
        """End with a computed value beside its limit; `of_v` is the voltage [V] of a percentage.

        The percentage is rounded outwards and decides; its margin in volts is told to the nearest
        millivolt, from the value itself.
        """
        found = compare(value, Decimal(limit), STEP, bound)
        if self.ceilings and found.result != "keeps":
            return self.unproved(f"{amount(found.value, unit)} beside {amount(found.limit, unit)}")
        result: Result = "close" if found.result == "too close" else found.result
        made = self._check(
            result,
            value=found.value,
            limit=found.limit,
            unit=unit,
            margin=found.margin,
            bound=bound,
        )
        if not of_v:
            return made
        left = float(limit) - float(value) if bound == "at most" else float(value) - float(limit)
        return structs.replace(made, margin_mv=round(left * of_v * 10))

    def exactly(
        self, value: int | Decimal, limit: int | Decimal, unit: str, bound: Bound = "at most"
    ) -> Check:
        """End with figures as stated, not rounded; a value equal to its limit keeps it."""
        margin = limit - value if bound == "at most" else value - limit
        if self.ceilings and margin < 0:
            return self.unproved(f"{amount(value, unit)} beside {amount(limit, unit)}")
        return self._check(
            "keeps" if margin >= 0 else "over",
            value=Decimal(value),
            limit=Decimal(limit),
            unit=unit,
            margin=Decimal(margin),
            bound=bound,
        )

    def there(self) -> Check:
        """End with a required thing present."""
        return self._check("keeps")

    def lacks(self, says: str) -> Check:
        """End with a required thing missing."""
        self.says = says
        return self._check("lacks")

    def listed(self, value: Decimal | None = None, unit: str = "") -> Check:
        """End for reading only."""
        return self._check("listed", value=value, unit=unit)

    def missing(self) -> Check:
        """End undecided; `needs` says what is missing."""
        return self._check("missing")

    def unproved(self, how: str) -> Check:
        """End undecided: a limit is passed, but only with figures at their worst."""
        self.need(f"{' and '.join(self.ceilings)} (at worst {how})")
        return self.missing()

    def impossible(self, fault: ImpossibleOperatingPointError) -> Check:
        """End with an impossible operating point."""
        if self.ceilings:
            return self.unproved("no operating point")
        self.says = fault.message
        return self._check("impossible")

    def attempt(self, work: Callable[[], Check]) -> Check:
        """Run `work` to its check; turn unusable figures into words."""
        try:
            return work()
        except ImpossibleOperatingPointError as fault:
            return self.impossible(fault)
        except ElectricalError as fault:
            self.need(fault.message)
            return self.missing()

    def _check(
        self,
        result: Result,
        *,
        value: Decimal | None = None,
        limit: Decimal | None = None,
        unit: str = "",
        margin: Decimal | None = None,
        bound: Bound = "at most",
    ) -> Check:
        keys = tuple(self.keys)
        return Check(
            kind=self.kind,
            subject=self.subject,
            title=self.title,
            formula=self.formula,
            inputs=tuple(self.inputs.values()),
            workings=tuple(self.lines),
            result=result,
            value=value,
            limit=limit,
            unit=unit,
            margin=margin,
            bound=bound,
            says=self.says,
            needs=tuple(self.needs),
            keys=keys,
            sources=self.ground.sources(keys),
            read=tuple(self.reads.items()),
            plot=self.plot,
        )


@lru_cache(maxsize=512)
def _in_words(source: Source) -> str:
    return str(source)


def override_fault(override: Override, value: Value | None) -> str | None:
    """Why an engineer's figure is not used, in words; None if it is."""
    if override.key not in DEFAULTS:
        return "names no default that can be overridden"
    if value is None:
        return "names a default that this rulebook does not hold"
    if isinstance(value.amount, bool) or not isinstance(value.amount, int):
        return "names a default that is no number"
    if override.value < 0 and value.unit != "celsius":
        return "is below zero"
    stated = known(override.unit)
    if stated and stated != value.unit:
        return f"is in {stated}; the default is in {value.unit}"
    return None
