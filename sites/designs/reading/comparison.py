"""Comparison of designs for the customer, in plain words."""

import re
from collections.abc import Callable

from connections.energy.result import EnergyYear, Figures
from connections.facts.defaults import known
from connections.facts.reading import party
from connections.facts.site import Site
from connections.pack.comparison import MOST, ComparedRow, Comparison, Drawn
from connections.prices.costing import money_words
from connections.prices.earning import FINE_PRINT, LEFT_OUT
from connections.remedies.designs import DesignFacts, RouteName
from connections.rulebook.telling import day_in_words
from connections.rules.figures import kilowatts, listed, plural
from sites.designs.reading.costs import Costs, costs_of, reasons
from sites.designs.reading.side_by_side import Compared, SideBySide
from sites.designs.words.customer_boxes import in_power_cut, plain_boxes
from sites.designs.words.customer_stops import stopped_words
from sites.energy.models import EnergyInputs
from sites.energy.words.rows import filled_from_network, kwh, pounds, ranges_of, rests_on
from sites.people.models import Firm
from sites.premises.reading.site_rows import today
from sites.prices.words import cost_words, earned_words

_NOTES = (
    "Power is what the inverters are rated at; what the sun gives changes with the day. The "
    "network operator decides about the connection. To be designed, fitted and tested by competent "
    "people.",
)


def comparison_of(page: SideBySide, plots: tuple[Drawn, ...] = ()) -> Comparison:
    """Return the printed comparison: the first few designs in the order shown."""
    shown = [one for one in page.designs if one.facts is not None]
    kept, rest = shown[:MOST], shown[MOST:]
    of_plots = plotted(page) if plots else None
    premises = page.premises
    firm = Firm.objects.order_by("pk").first()
    chosen = next(
        (
            one.name
            for one in page.designs
            if one.design.is_proposal and one.facts and not one.stops
        ),
        "",
    )
    site = next((one.site for one in page.designs if one.site is not None), None)
    customer = party(site, "customer") if site is not None else None
    costs = costs_of(page)
    undecided = [one.name for one in page.designs if one.facts is None]
    return Comparison(
        title="Your designs side by side",
        reference=premises.reference,
        customer=(known(customer.name) or "") if customer is not None else "",
        premises=_place(site) or premises.name,
        prepared_on=today(),
        firm=firm.name if firm is not None else "",
        phone=firm.phone if firm is not None else "",
        designs=tuple(one.name for one in kept),
        chosen=chosen if len(page.designs) > 1 or page.choice is not None else "",
        why=_why(page),
        chosen_as="Chosen" if _by_customer(page) else "Proposed",
        rows=_all_rows(kept, costs),
        plots=plots,
        notes=(*_NOTES, *_energy_notes(kept, page.inputs), *_cost_notes(kept, costs)),
        left_out=(*(one.name for one in rest), *undecided),
        plotted=_as_designs_are_called(of_plots.name)
        if of_plots is not None and len(page.designs) > 1
        else "",
    )


def _by_customer(page: SideBySide) -> bool:
    """Whether the customer chose the design that is proposed."""
    choice = page.choice
    return (
        choice is not None
        and choice.by_whom == "customer"
        and any(
            one.design.is_proposal and one.design.pk == choice.design_id for one in page.designs
        )
    )


def _why(page: SideBySide) -> str:
    """Say when the customer chose, and why: as written, or else in what the proposal is best."""
    one = next((each for each in page.designs if each.design.is_proposal), None)
    if one is None:
        return ""
    choice = page.choice
    holds = choice is not None and choice.design_id == one.design.pk
    said = f"by you on {day_in_words(choice.on)}. " if choice and _by_customer(page) else ""
    if choice is not None and holds and choice.why:
        return said + choice.why
    best = reasons(one, page)
    return (said + (f"{listed(best)} of these." if best else "")).strip()


def _place(site: Site | None) -> str:
    """Return the address of the premises in a line."""
    premises = known(site.premises) if site is not None else None
    if premises is None:
        return ""
    lines = [known(premises.name), *(known(premises.address_lines) or ()), known(premises.postcode)]
    return ", ".join(dict.fromkeys(line for line in lines if line))


def plotted(page: SideBySide) -> Compared | None:
    """Return the printed design whose year is drawn for the customer.

    It is the proposal, or else the first one with a year.
    """
    kept = [one for one in page.designs if one.facts is not None][:MOST]
    with_year = [one for one in kept if one.year.result is not None and not _by_scheme(one)]
    proposed = [one for one in with_year if one.design.is_proposal]
    return next(iter([*proposed, *with_year]), None)


def _as_designs_are_called(name: str) -> str:
    """Return a name for a sentence: "Design 1", but "the design Without a battery"."""
    return name if name.startswith("Design ") else f"the design {name}"


_CELLS = re.compile(r"\bcells\b")
_SAID_ABOVE = ("When the network fails", "The work can't begin before")


def customers_words(text: str) -> str:
    """Replace "cells" by "battery", for the customer."""
    return _CELLS.sub("battery", text.replace("Cells are", "The battery is"))


def _all_rows(shown: list[Compared], costs: Costs) -> tuple[ComparedRow, ...]:
    """Return what comes first, then what it costs, and then all else."""
    rows = _rows(shown)
    return (*rows[:2], *_cost_rows(shown, costs), *rows[2:], *_energy_rows(shown))


def _rows(shown: list[Compared]) -> list[ComparedRow]:
    known = [(one, one.facts, one.site) for one in shown if one.facts and one.site]

    def row(
        question: str, tell: Callable[[Compared, DesignFacts, Site], tuple[str, ...]]
    ) -> ComparedRow:
        return ComparedRow(question, tuple(tell(one, facts, site) for one, facts, site in known))

    return [
        row("Possible as it is", lambda one, f, s: stopped_words(one.stops) or (_POSSIBLE,)),
        row("Before the work", lambda one, f, s: (_waiting(f),)),
        row(
            "Most power at once",
            lambda one, f, s: (kilowatts(f.power_w),),
        ),
        row("Most power sent out", lambda one, f, s: (kilowatts(f.export_w),)),
        row("In a power cut", lambda one, f, s: (in_power_cut(s, f.backup_wh),)),
        row("Boxes", lambda one, f, s: _boxes(f, s)),
        row("If one unit fails, you still have", lambda one, f, s: _without(s)),
        row("The roof’s cable carries", lambda one, f, s: (_roof(f),)),
        row("Good to know", lambda one, f, s: _told(f)),
    ]


_POSSIBLE = "Yes, as far as is known"


def _waiting(facts: DesignFacts) -> str:
    return facts.time or "not known yet"


def _boxes(facts: DesignFacts, site: Site) -> tuple[str, ...]:
    of = ", ".join(
        f"{box.name} ({box.size})" if box.size else box.name for box in plain_boxes(site)
    )
    return (f"{plural(facts.box_count, 'box', 'boxes')}: {of}" if of else "none",)


def _without(site: Site) -> tuple[str, ...]:
    """Return what remains if each box fails; joins boxes that leave the same."""
    left: dict[str, list[str]] = {}
    for box in plain_boxes(site):
        left.setdefault(box.without, []).append(box.fails)
    return tuple(f"without {listed(fails, 'or')}: {rest}" for rest, fails in left.items()) or (
        "nothing",
    )


def _told(facts: DesignFacts) -> tuple[str, ...]:
    """Return the remarks that no other row gives: without power cuts and waiting times."""
    said = [customers_words(line) for line in facts.told if not line.startswith(_SAID_ABOVE)]
    return tuple(said) or ("nothing more",)


def _roof(facts: DesignFacts) -> str:
    if facts.dc_runs.startswith("Yes"):
        return "direct current, live in daylight"
    if facts.dc_runs.startswith("No:"):
        return "mains current"
    if facts.dc_runs.startswith("Only"):
        return "nothing: there are no panels"
    return "not known yet"


def _energy_rows(shown: list[Compared]) -> list[ComparedRow]:
    """Return the rows of the year, if a design has one, and what arrives of 100 kWh."""
    facts = [one.facts for one in shown if one.facts is not None]
    arrives = ComparedRow("Of 100 kWh, so much arrives", tuple(_arrives(f) for f in facts))
    scheme = _scheme_row(shown)
    if not any(one.year.result and not _by_scheme(one) for one in shown):
        return [*scheme, arrives]
    return [
        *(
            ComparedRow(
                question,
                tuple(_told_year(one, of) for one in shown),
            )
            for question, of in _YEAR
        ),
        *scheme,
        *_money_row(shown),
        arrives,
    ]


def _by_scheme(one: Compared) -> bool:
    """Whether figures of a certification scheme take the place of the energy year."""
    return one.basis is not None and one.basis.has_figures


def _scheme_row(shown: list[Compared]) -> tuple[ComparedRow, ...]:
    """Return what a certification scheme prescribes to be told; none without its figures."""
    if not any(_by_scheme(one) for one in shown):
        return ()
    return (
        ComparedRow(
            "In a year, by the method of a certification scheme",
            tuple(_scheme_figures(one) for one in shown),
        ),
    )


def _scheme_figures(one: Compared) -> tuple[str, ...]:
    basis = one.basis
    if basis is None or not basis.has_figures:
        return ("not entered",)
    said = []
    if basis.made_kwh is not None:
        said.append(f"made {basis.made_kwh:,} kWh")
    if basis.used_kwh is not None:
        said.append(f"used at home {basis.used_kwh:,} kWh")
    if basis.saves_minor is not None:
        said.append(f"saves {money_words(basis.saves_minor)}")
    return (", ".join(said), basis.method)


def _told_year(one: Compared, of: Callable[[Figures], float]) -> tuple[str, ...]:
    if _by_scheme(one):
        return ("see the scheme’s figure",)
    if one.year.result is None:
        return ("not worked out",)
    return (_year(one.year.result, of),)


def _cost_rows(shown: list[Compared], costs: Costs) -> list[ComparedRow]:
    """Return what each design costs, and in how many years a dearer one earns that back."""
    rows = []
    if any(one.cost for one in shown):
        rows.append(
            ComparedRow(
                "Cost today",
                tuple(
                    ("not known yet",) if one.cost is None else cost_words(one.cost)
                    for one in shown
                ),
            )
        )
    first = costs.cheapest
    if costs.differences and first is not None:
        rows.append(
            ComparedRow(
                f"Extra cost over {first.name} is earned back in",
                tuple(_earned(one, costs) for one in shown),
            )
        )
    return rows


def _earned(one: Compared, costs: Costs) -> tuple[str, ...]:
    first = costs.cheapest
    if _by_scheme(one) or (first is not None and _by_scheme(first)):
        return ("see the scheme’s figure",)
    if first is not None and one.design.pk == first.design.pk:
        return ("it costs least",)
    found = costs.differences.get(one.design.pk)
    return ("not known yet",) if found is None else (earned_words(found),)


def _cost_notes(shown: list[Compared], costs: Costs) -> tuple[str, ...]:
    if not any(one.cost for one in shown):
        return ()
    notes = [f"Cost is by our prices of today. Not counted: {_uncounted(shown)}"]
    dearer = [costs.differences.get(one.design.pk) for one in shown if not _by_scheme(one)]
    moved = next((found for found in dearer if found is not None and found.movers), None)
    if moved is not None:
        of = f"For {moved.dearer} it" if len(costs.differences) > 1 else "It"
        notes.append(
            f"Years until it is earned back are ends of assumptions, one at a time. {of} moves "
            f"most with {listed([each.what for each in moved.movers])}. {LEFT_OUT}"
        )
    return (" ".join((*notes, FINE_PRINT)),)


def _uncounted(shown: list[Compared]) -> str:
    """Return everything that a shown cost leaves out, each once, in a sentence."""
    every = dict.fromkeys(
        each.removesuffix(".") for one in shown if one.cost for each in one.cost.not_counted
    )
    said = "; ".join(f"{each[0].lower()}{each[1:]}" for each in every)
    return f"{said}."


def _money_row(shown: list[Compared]) -> tuple[ComparedRow, ...]:
    """Return the year in money as a single row, to save room; none without prices."""
    answers = tuple(_in_money(one) for one in shown)
    if not any(answers):
        return ()
    return (
        ComparedRow(
            "The year’s energy at the prices entered",
            tuple(each or ("not known",) for each in answers),
        ),
    )


def _in_money(one: Compared) -> tuple[str, ...]:
    if _by_scheme(one):
        return ("see the scheme’s figure",)
    if one.year.result is None:
        return ()
    money = one.year.result.money
    said = [
        f"{what} {pounds(amount)}"
        for amount, what in (
            (money.import_cost, "costs"),
            (money.export_value, "brings"),
            (money.standing_cost, "standing charge"),
        )
        if amount is not None
    ]
    return (", ".join(said),) if said else ()


_YEAR: tuple[tuple[str, Callable[[Figures], float]], ...] = (
    ("Made from the sun in a year", lambda f: f.made),
    ("Used at home", lambda f: f.on_site),
    ("Sent to the network", lambda f: f.exported),
    ("Not made: more sun than the inverter takes", lambda f: f.clipped),
    ("Not made: held back by the export limit", lambda f: f.lost),
    ("Bought from the network", lambda f: f.imported),
)


def _year(year: EnergyYear, of: Callable[[Figures], float]) -> str:
    middle = kwh(of(year.figures))
    if year.low is None or year.high is None:
        return middle
    ends = sorted((of(year.low.figures), of(year.high.figures)))
    low, high = (kwh(end).removesuffix(" kWh") for end in ends)
    return middle if low == high else f"{middle} ({low} to {high})"


_WAYS: tuple[tuple[RouteName, str], ...] = (
    ("sun-to-house", "sun to house"),
    ("sun-to-cells-to-house", "sun to battery to house"),
    ("grid-to-cells-to-house", "network to battery to house"),
)


def _arrives(facts: DesignFacts) -> tuple[str, ...]:
    said = [
        f"{words}: {each.route.share * 100:.0f} ({each.least * 100:.0f} to {each.most * 100:.0f})"
        for name, words in _WAYS
        for each in ranges_of(facts, name)
    ]
    return tuple(said) or ("not known",)


def _energy_notes(shown: list[Compared], inputs: EnergyInputs | None) -> tuple[str, ...]:
    rests = customers_words(rests_on([one.year for one in shown], inputs))
    arrives = (
        "What arrives is that with usual devices, in brackets by published measurements of "
        "inverters and batteries."
    )
    if not rests:
        return (arrives,)
    return (
        "Energy in a year is worked out, not promised; in brackets a dull year with poor "
        f"devices and a bright one with good ones. {rests}{_bought_note(shown)}"
        f"{_money_note(shown)} {arrives}",
    )


def _bought_note(shown: list[Compared]) -> str:
    years = [one.year.result for one in shown if one.year.result is not None]
    if not any(filled_from_network(year.figures) for year in years):
        return ""
    return " Part of what the battery gives was bought."


def _money_note(shown: list[Compared]) -> str:
    years = [one.year.result for one in shown if not _by_scheme(one)]
    if all(year is None or year.money.import_cost is None for year in years):
        return ""
    standing = any(year is not None and year.money.standing_cost is not None for year in years)
    left_out = [
        *(() if standing else ("standing charges",)),
        *(() if any(one.cost for one in shown) else ("the plant’s own cost",)),
    ]
    return f" Prices change; {listed(left_out)} are left out." if left_out else " Prices change."
