"""Comparison of designs for the customer, in plain words."""

import re
from collections.abc import Callable

from connections.energy.result import EnergyYear, Figures
from connections.facts.defaults import known
from connections.facts.reading import party
from connections.facts.site import Site
from connections.pack.comparison import MOST, ComparedRow, Comparison, Drawn
from connections.remedies.designs import DesignFacts, RouteName
from connections.rules.figures import kilowatts, listed, plural
from sites.designs.reading.side_by_side import Compared, SideBySide
from sites.designs.words.customer_boxes import in_power_cut, plain_boxes
from sites.designs.words.customer_stops import stopped_words
from sites.energy.models import EnergyInputs
from sites.energy.words.rows import filled_from_network, kwh, pounds, ranges_of, rests_on
from sites.people.models import Firm
from sites.premises.reading.site_rows import today

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
        chosen=chosen if len(page.designs) > 1 else "",
        rows=(*_rows(kept), *_energy_rows(kept)),
        plots=plots,
        notes=(*_NOTES, *_energy_notes(kept, page.inputs)),
        left_out=(*(one.name for one in rest), *undecided),
        plotted=_as_designs_are_called(of_plots.name)
        if of_plots is not None and len(page.designs) > 1
        else "",
    )


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
    with_year = [one for one in kept if one.year.result is not None]
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
    if not any(one.year.result for one in shown):
        return [arrives]
    return [
        *(
            ComparedRow(
                question,
                tuple(
                    ("not worked out",)
                    if one.year.result is None
                    else (_year(one.year.result, of),)
                    for one in shown
                ),
            )
            for question, of in _YEAR
        ),
        *_money_row(shown),
        arrives,
    ]


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
    if one.year.result is None:
        return ()
    money = one.year.result.money
    said = [
        f"{what} {pounds(amount)}"
        for amount, what in (
            (money.import_cost, "costs"),
            (money.export_value, "brings"),
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
    return middle if low == high == "none" else f"{middle} ({low} to {high})"


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
    if not any(_in_money(one) for one in shown):
        return ""
    return " Prices change; standing charges and the plant’s own cost are left out."
