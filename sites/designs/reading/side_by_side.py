"""Compares the designs of a premises side by side, row by row."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from msgspec import structs

from connections.energy.result import Figures
from connections.facts.decision import Finding
from connections.facts.site import Site
from connections.prices.costing import Cost
from connections.prices.earning import Priced
from connections.prices.price_list import PriceList
from connections.remedies.designs import BACKUP_LOAD_W, DesignFacts, design_facts
from connections.rules.figures import amps, kilowatts, plural
from sites.deciding.reading.deciding import DecidedSite
from sites.energy.models import EnergyInputs
from sites.energy.reading.years import Progress, YearState, years_of
from sites.energy.words.compared import ComparedGroup, ComparedRow
from sites.energy.words.rows import arriving_group, energy_cost, energy_group
from sites.premises.models import Design, Premises
from sites.prices.models import Choice, CostBasis
from sites.prices.reading import (
    YearOfMoney,
    design_cost,
    latest_bases,
    latest_choice,
    price_list,
    priced,
    year_of_money,
)
from sites.prices.words import cost_words


@dataclass(frozen=True)
class Compared:
    """A design with its facts; `facts` is None if it can't be decided yet.

    `year` is the state of its energy year; `stops` are the findings that stop it. `cost` is by the
    price list of today, None without one; `basis` is what a person said for it.
    """

    design: Design
    name: str
    site: Site | None
    facts: DesignFacts | None
    fault: str
    year: YearState
    stops: tuple[Finding, ...] = ()
    cost: Cost | None = None
    basis: CostBasis | None = None

    @property
    def money(self) -> YearOfMoney | None:
        """Its year in money; None while that is not known."""
        return year_of_money(self.year.result)

    @property
    def priced(self) -> Priced | None:
        """The design for a difference; None while its cost or its year is not known."""
        return priced(self.name, self.cost, self.money)


@dataclass(frozen=True)
class Order:
    """A way to sort the designs."""

    key: str
    words: str
    chosen: bool


@dataclass(frozen=True)
class SideBySide:
    """The whole comparison, with designs in the chosen order.

    `inputs` are those of the energy years; `progress` says how many are done. `choice` is the last
    recorded one.
    """

    premises: Premises
    inputs: EnergyInputs | None
    designs: tuple[Compared, ...]
    groups: tuple[ComparedGroup, ...]
    orders: tuple[Order, ...]
    progress: Progress
    choice: Choice | None = None


_NOT_KNOWN = "not known"
_LAST = 10**12

_ORDERS: dict[str, tuple[str, Callable[[DesignFacts], int]]] = {
    "procedure": ("quickest procedure", lambda f: f.order),
    "power": ("most power at once", lambda f: -(f.power_w or 0)),
    "export": ("least export", lambda f: _LAST if f.export_w is None else f.export_w),
    "backup": ("most back-up", lambda f: -(f.backup_wh or 0)),
    "boxes": ("fewest boxes", lambda f: f.box_count),
}

_YEAR_ORDERS: dict[str, tuple[str, Callable[[Figures], float]]] = {
    "made": ("most made in a year", lambda f: -f.made),
    "used": ("most used on site", lambda f: -f.on_site),
    "exported": ("most exported in a year", lambda f: -f.exported),
    "clipped": ("least clipped", lambda f: f.clipped),
    "lost": ("least lost behind a limit", lambda f: f.lost),
}
"""Orders offered if a year is worked out; designs without one come last."""

_CHEAPEST = "cheapest"
"""Order offered if both prices are known."""


def side_by_side(premises: Premises, order: str = "") -> SideBySide:
    """Return the designs of a premises, as entered or in one of the orders.

    The number of queries does not grow with designs.
    """
    years = years_of(premises)
    # A single design has no name; don't make one up.
    unnamed = "Design without a name" if len(years.designs) > 1 else "The design"
    prices = price_list()
    bases = latest_bases(one.design for one in years.designs)
    compared = [
        _compared(
            one.design,
            one.design.name or unnamed,
            one.decided,
            one.year,
            bases.get(one.design.pk),
            prices,
        )
        for one in years.designs
    ]
    known = {key: words for key, (words, _) in _ORDERS.items()}
    if any(one.year.result for one in compared):
        known |= {key: words for key, (words, _) in _YEAR_ORDERS.items()}
    if any(one.year.result and energy_cost(one.year.result.money) is not None for one in compared):
        known[_CHEAPEST] = "cheapest year at the prices entered"
    if order in known:
        compared.sort(key=lambda one: _rank(one, order))
    return SideBySide(
        premises=premises,
        inputs=years.inputs,
        designs=tuple(compared),
        groups=groups_of(compared, years.inputs),
        orders=(
            Order("", "as entered", order not in known),
            *(Order(key, words, key == order) for key, words in known.items()),
        ),
        progress=years.progress,
        choice=latest_choice(premises),
    )


def _rank(one: Compared, order: str) -> float:
    """Return the sort key of a design; unknown figures come last."""
    year = one.year.result
    if order == _CHEAPEST:
        cost = None if year is None else energy_cost(year.money)
        return _LAST if cost is None else cost
    if order in _YEAR_ORDERS:
        return _LAST if year is None else _YEAR_ORDERS[order][1](year.figures)
    return _LAST if one.facts is None else _ORDERS[order][1](one.facts)


def _compared(
    design: Design,
    name: str,
    decided: DecidedSite,
    year: YearState,
    basis: CostBasis | None,
    prices: PriceList,
) -> Compared:
    if decided.site is None or decided.decided is None or decided.decision is None:
        return Compared(design, name, decided.site, None, decided.fault, year, basis=basis)
    facts = design_facts(decided.site, decided.decided, backup_load_w=BACKUP_LOAD_W)
    # Count the findings of electrical checks too, as the page of the premises does.
    stops = tuple(each for each in decided.decision.findings if each.severity == "stops")
    decides = sum(each.severity == "decide" for each in decided.decision.findings)
    facts = structs.replace(facts, stops=len(stops), decides=decides)
    cost = design_cost(decided.site, decided.decided, basis, prices)
    return Compared(design, name, decided.site, facts, "", year, stops, cost, basis)


def groups_of(
    compared: Sequence[Compared], inputs: EnergyInputs | None = None
) -> tuple[ComparedGroup, ...]:
    """Return the rows of a comparison; `inputs` are those of the energy years."""

    def row(
        question: str, tell: Callable[[DesignFacts], Sequence[str]], hint: str = ""
    ) -> ComparedRow:
        return ComparedRow(
            question,
            hint,
            tuple(
                tuple(tell(one.facts)) or ("none",) if one.facts is not None else (_NOT_KNOWN,)
                for one in compared
            ),
        )

    return (
        ComparedGroup(
            "What follows",
            (
                row("Procedure", lambda f: (f.title,)),
                row("Time", lambda f: (f.time or _NOT_KNOWN,)),
                row("Findings", _findings),
            ),
        ),
        ComparedGroup(
            "What the network sees",
            (
                row(
                    "Registered capacity a phase",
                    _phases,
                    "amps at the voltage of the procedure and unity power factor",
                ),
                row("Maximum export", lambda f: (kilowatts(f.export_w),)),
            ),
        ),
        ComparedGroup(
            "What the house can have at once",
            (
                row(
                    "From sun and cells together",
                    lambda f: (kilowatts(f.power_w),),
                    "separate inverters add; a shared one is the cap",
                ),
                row("From the sun alone", lambda f: (kilowatts(f.sun_w),)),
                row("From the cells alone", lambda f: (kilowatts(f.cells_w),)),
                row("When the network fails", lambda f: (f.backup,)),
            ),
        ),
        ComparedGroup(
            "The plant in the building",
            (
                row("Boxes", lambda f: (plural(f.box_count, "box", "boxes"), *_boxes(f))),
                row(
                    "If one unit fails",
                    lambda f: [f"without {box.name}: {box.without}" for box in f.boxes],
                ),
                row("Direct current through the building", lambda f: (f.dc_runs,)),
            ),
        ),
        *_costs(compared),
        energy_group([one.year for one in compared], inputs),
        arriving_group([one.facts for one in compared]),
        ComparedGroup("What the customer must be told", (row("To say", lambda f: f.told),)),
    )


def _costs(compared: Sequence[Compared]) -> tuple[ComparedGroup, ...]:
    """Return the row of costs; empty without prices."""
    if not any(one.cost for one in compared):
        return ()
    answers = tuple((_NOT_KNOWN,) if one.cost is None else cost_words(one.cost) for one in compared)
    row = ComparedRow("By the firm’s price list", "", answers)
    return (ComparedGroup("What it costs", (row,)),)


def _findings(facts: DesignFacts) -> list[str]:
    said = []
    if facts.stops:
        said.append(f"{facts.stops} stop{'s' if facts.stops == 1 else ''} it")
    if facts.decides:
        said.append(f"{facts.decides} for the engineer")
    return said or ["none open"]


def _phases(facts: DesignFacts) -> list[str]:
    return [
        f"{phase}: {amps(ma)}, {kilowatts(facts.per_phase_w[phase])}"
        for phase, ma in facts.per_phase_ma.items()
    ]


def _boxes(facts: DesignFacts) -> list[str]:
    return [f"{box.count} x {box.name}" if box.count > 1 else box.name for box in facts.boxes]
