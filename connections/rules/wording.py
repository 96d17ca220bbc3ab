"""The sentences of findings, one function a finding: what it is, and its workings.

Each function takes the finding's values and returns a sentence for everyone and the arithmetic or
the reading of the text behind it.
"""

from collections.abc import Callable
from typing import Any

from connections.rules.figures import amps, in_unit, kilowatts, listed, volts
from connections.rules.findings.checks import FINDING_OF

Values = dict[str, Any]
Words = tuple[str, str]


def undetermined(v: Values) -> Words:
    """Facts are missing that could change the procedure."""
    if not v["possible"]:
        return (
            "Cannot tell the procedure: no row of the rulebook's table covers this site.",
            "Every row of the decision table is false for the facts given.",
        )
    beyond = "" if v["searched_all"] else " (the search stopped at its bound; some may not be real)"
    return (
        f"Cannot tell the procedure: needs {listed(v['needs'])}.",
        f"With what is known it could be: {'; '.join(v['possible'])}{beyond}.",
    )


def beyond(v: Values) -> Words:
    """The site is larger than is prepared here."""
    return (
        "This site is larger than this tool prepares; ask the network operator how to apply.",
        f"Largest module {kilowatts(v['largest_module_w'])}.",
    )


def rule_missing(v: Values) -> Words:
    """The site needs a rule that the rulebook does not hold."""
    return (
        f"This rulebook ({v['edition']}) does not hold the rule on {v['missing']}; ask {v['ask']}.",
        f"{v['says']} Nothing is assumed in its place.",
    )


def rules_not_held(v: Values) -> Words:
    """The rulebook holds no rule on something, so that is not looked at."""
    return (
        f"This rulebook holds nothing on {listed(v['rules'])}; that is not looked at here.",
        "A rule that is not held is neither met nor broken; ask the network operator.",
    )


def boundary(v: Values) -> Words:
    """The site is exactly at an ambiguous limit; the other reading changes the procedure."""
    return (
        "The site stands exactly at a limit that the published text can be read both ways at; ask "
        "the network operator which reading it takes.",
        f"Read strictly: {v['procedure']}. With the limit included: {v['other_reading']}.",
    )


def supply_cap(v: Values) -> Words:
    """A single-phase or split supply carries more than it may."""
    kind = "a single-phase" if v["key"] == "supply.single_cap" else "a split single-phase"
    return (
        f"The aggregate of {kilowatts(v['total_w'])} is more than {kind} supply may carry "
        f"({kilowatts(v['cap_w'])}).",
        f"{kilowatts(v['total_w'])} - {kilowatts(v['cap_w'])} = "
        f"{kilowatts(v['total_w'] - v['cap_w'])} too much.",
    )


def phase_cap(v: Values) -> Words:
    """One phase carries more than is expected of single-phase plant."""
    return (
        f"Phase {v['phase']} carries {kilowatts(v['phase_w'])}; above {kilowatts(v['cap_w'])} on "
        "one phase three-phase units are expected.",
        f"{kilowatts(v['phase_w'])} against {kilowatts(v['cap_w'])}. The operator may allow it "
        "where a three-phase supply would cost too much.",
    )


def phase_not_on_supply(v: Values) -> Words:
    """A unit is on a phase that the supply does not have."""
    return (
        f"{v['unit']} is on {listed(v['phases'])}, which this supply does not have.",
        f"The supply has {listed(v['supply'])}.",
    )


def nothing_counted(v: Values) -> Words:
    """No unit runs in parallel once the work is done."""
    return (
        "Once the work is done no unit runs in parallel here; the operator wants to know of plant "
        "that is taken out.",
        "Every unit is removed or switched-only, so every sum is nothing.",
    )


def declared_current(v: Values) -> Words:
    """A declared current is over a limit that the capacity keeps."""
    return (
        f"{v['unit']} declares {amps(v['declared_ma'])} a phase, over the limit of "
        f"{amps(v['limit_ma'])} that its registered capacity keeps.",
        f"Decided on capacity: {amps(v['rated_ma'])} at 230 V and unity power factor. Ask whether "
        "the operator decides on the declared current.",
    )


def declared_sum(v: Values) -> Words:
    """Declared currents are together over a limit of a phase that the capacity keeps."""
    return (
        f"The declared currents on {v['phase']} add up to {amps(v['declared_ma'])}, past the limit "
        f"of {amps(v['limit_ma'])} that the registered capacities keep.",
        f"Decided on capacity: {amps(v['rated_ma'])} at 230 V and unity power factor. Ask whether "
        "the operator decides on the declared currents.",
    )


def software_cap(v: Values) -> Words:
    """A capacity is held down by something that the maker's people need not lift."""
    held = {
        "software": "by software",
        "none": "by nothing that the facts name",
        "unknown": "in a way that is not known",
    }[v["limited_by"]]
    return (
        f"{v['unit']} is held to {kilowatts(v['rated_w'])} {held}, below its design capacity of "
        f"{kilowatts(v['design_w'])}.",
        "The published text wants a cap that only the manufacturer's people can lift.",
    )


def design_below_rated(v: Values) -> Words:
    """Design capacity below registered capacity."""
    return (
        f"{v['unit']} has a design capacity of {kilowatts(v['design_w'])}, below its registered "
        f"capacity of {kilowatts(v['rated_w'])}; one of the two is wrong.",
        "The design capacity is the largest the unit is made for; the registered capacity can't be "
        "more.",
    )


def va_for_w(v: Values) -> Words:
    """Only the apparent power is known and stands for the registered capacity."""
    return (
        f"Only the apparent power of {v['unit']} is known; {kilowatts(v['rated_va'], 'kVA')} "
        f"stands in for its registered capacity.",
        "At unity power factor kVA and kW are equal; otherwise kW is less, so this errs high.",
    )


def not_type_tested(v: Values) -> Words:
    """A unit is not, only partly, or not known to be fully type tested."""
    words = {
        "no": "is not type tested",
        "part": "is only partly type tested",
        "unknown": "may or may not be type tested; that is not known",
    }[v["type_tested"]]
    return (
        f"{v['unit']} {words}.",
        "Connect and notify and the small-installation routes take fully type tested units only; "
        "elsewhere untested units add test forms and often a witness.",
    )


def full_test_too_large(v: Values) -> Words:
    """Said to be fully type tested above the size that can be."""
    return (
        f"{v['unit']} is said to be fully type tested, but its design capacity of "
        f"{kilowatts(v['design_w'])} is above {kilowatts(v['limit_w'])}; read as partly tested.",
        f"The definition ends at {kilowatts(v['limit_w'])}.",
    )


def no_register_reference(v: Values) -> Words:
    """Fully type tested, but without its entry in the register."""
    return (
        f"No entry of the type-test register is named for {v['unit']}.",
        "It counts as fully type tested as declared; the operator will look for the reference.",
    )


def existing_undated(v: Values) -> Words:
    """Existing plant has no date of commissioning."""
    return (
        f"The commissioning date of {v['unit']} is not known.",
        "The date settles which recommendation older plant was connected under.",
    )


def can_island(v: Values) -> Words:
    """A unit can, or may, run as an island."""
    words = "can run as an island" if v["known"] else "may be able to run as an island; not known"
    return (
        f"{v['unit']} {words}: earthing, changeover and the operator's rule need a decision.",
        "Plant that can island is outside connect and notify in this rulebook (secondary source).",
    )


def fact_not_known(v: Values) -> Words:
    """A fact is given as unknown; says how it was read."""
    return (
        f"The {v['fact']} of {v['unit']} is not known; read as {v['read_as']}.",
        "The stricter reading was taken.",
    )


def standard_date(v: Values) -> Words:
    """A standard was not yet, or no longer, open on the unit's date."""
    how = "was not yet in use on" if v["early"] else "was no longer open on"
    return (
        f"{v['unit']} names {v['standard']}, which {how} {v['day']}.",
        f"The rulebook's date is {v['limit']}.",
    )


def standard_too_small(v: Values) -> Words:
    """A unit is said to be tested to G98, and is larger than that covers."""
    return (
        f"{v['unit']} is said to be tested to G98, which covers units up to "
        f"{amps(v['limit_ma'])} a phase only.",
        "Check the register entry; a larger unit is tested to G99.",
    )


def switched_only(v: Values) -> Words:
    """Plant never runs in parallel and is not counted."""
    return (
        f"{v['unit']} never runs in parallel and is not counted.",
        "Switched alternative supplies follow interlock rules of their own.",
    )


def export_above_agreed(v: Values) -> Words:
    """Export figure above the agreed export capacity."""
    return (
        f"The site can export {kilowatts(v['export_w'])}, more than the agreed "
        f"{kilowatts(v['agreed_va'], 'kVA')}.",
        f"{kilowatts(v['export_w'])} - {kilowatts(v['agreed_va'], 'kVA')} = "
        f"{kilowatts(v['export_w'] - v['agreed_va'])} too much, at unity power factor.",
    )


def _above_cap(v: Values, what: str, answer: str) -> Words:
    reference = f" ({v['reference']})" if v["reference"] else ""
    amount, cap = in_unit(v["amount"], v["unit"]), in_unit(v["cap"], v["unit"])
    shares = v.get("shares", 1) if v["unit"] != "mA" and v.get("now") is None else 1
    if shares > 1:
        # What is compared is the fullest phase times their number; a reader wants the phase itself.
        phase, share = in_unit(-(-v["amount"] // shares), v["unit"]), v["cap"] // shares
        return (
            f"{what}, counted on the fullest phase, is {phase} there, above a phase's share of "
            f"{in_unit(share, v['unit'])} in the operator's cap of {cap}{reference}.",
            f"{phase} against {cap} / {shares} phases = {in_unit(share, v['unit'])} on each. "
            f"{answer}",
        )
    if v.get("now") is not None:
        each = "the one phase" if v["now"] == 1 else f"each of the {v['now']} phases"
        stated = f"{amps(v['stated_ma'])} on {each} that the supply has now"
        return (
            f"{what} of {amount} is above the operator's cap of {stated}{reference}, which is "
            f"{cap} in all.",
            f"{amount} against {cap}. A cap in amps is of the supply that it was given for, and "
            f"stays the same in all when the supply gets more phases. {answer}",
        )
    return (
        f"{what} of {amount} is above the operator's cap of {cap}{reference}.",
        f"{amount} against {cap}. {answer}",
    )


def cap_split_not_known(v: Values) -> Words:
    """A cap is on the total of several phases, and how they share it is not said."""
    cap = in_unit(v["cap"], v["unit"])
    return (
        f"The operator's cap on {_CAPPED[v['on']]} is {cap} in all, and it is not said how "
        f"{v['phases']} phases share it: {amps(v['one_ma'])} on one phase, or {amps(v['each_ma'])} "
        "on each.",
        f"{cap} at unity power factor, on one phase and in {v['phases']} equal shares. Ask the "
        "operator which it means; until then the total alone is compared.",
    )


_CAPPED = {"export": "export", "installed": "installed capacity"}


def export_above_cap(v: Values) -> Words:
    """Export figure above the operator's cap."""
    return _above_cap(v, "The export figure", "A limitation scheme can answer a cap on export.")


def installed_above_cap(v: Values) -> Words:
    """The installed capacity is above the operator's cap."""
    return _above_cap(
        v,
        "The installed capacity",
        "An export limit does not lower it; only less or shared inverter capacity does.",
    )


def cap_ended(v: Values) -> Words:
    """An operator's answer has run out."""
    return (
        f"The operator's cap on {v['on']} ended on {v['until']} and is not applied.",
        "Ask whether it still holds.",
    )


def limit_not_type_tested(v: Values) -> Words:
    """A scheme is not, or not known to be, fully type tested, so it does not count."""
    known = "is not fully type tested" if v["known"] else "is not known to be fully type tested"
    return (
        f"The {v['which']} limitation scheme {known}, so it does not count for the procedure.",
        "A scheme of another kind needs test evidence and often a witness.",
    )


def limit_not_known(v: Values) -> Words:
    """A limit without its value."""
    return (
        f"The value of the {v['which']} limit is not known.",
        "A limit without a value is none.",
    )


def netting_limit(v: Values) -> Words:
    """A limit on the total lets one phase export while another imports."""
    known = "nets the phases" if v["known"] else "may net the phases (not known)"
    return (
        f"The {v['which']} limit is on the total and the scheme {known}; the operator's limit is "
        "per phase.",
        "One phase could export the whole while the others import, so each phase is bounded only "
        "by the whole.",
    )


def limit_in_va(v: Values) -> Words:
    """A limit in VA is compared with watts."""
    return (
        f"The {v['which']} limit of {kilowatts(v['value_va'], 'kVA')} is compared with kW.",
        "Real power is never more than apparent power, so the comparison errs high.",
    )


def tighter_limit(v: Values) -> Words:
    """An export limit tighter than the clause names."""
    return (
        f"The export limit of {amps(v['limit_ma'])} a phase is tighter than the "
        f"{amps(v['named_ma'])} of the clause.",
        "It qualifies; the operator may ask why it is lower.",
    )


def _balance(v: Values) -> str:
    power = (
        kilowatts(v["difference_va"], "kVA")
        if "difference_va" in v
        else kilowatts(v["difference_w"])
    )
    return (
        f"{listed(v['running'])} at full output, everything else at nothing: {v['high']} is "
        f"{power} above {v['low']}"
    )


def _apart(v: Values) -> Words:
    """The difference between two phases and its limit, in the unit that the limit is in."""
    if "limit_va" in v:
        return kilowatts(v["difference_va"], "kVA"), kilowatts(v["limit_va"], "kVA")
    if "limit_w" in v:
        return kilowatts(v["difference_w"]), kilowatts(v["limit_w"])
    return amps(v["difference_ma"]), amps(v["limit_ma"])


def phases_out_of_balance(v: Values) -> Words:
    """Phases can be further apart than the limit."""
    apart, limit = _apart(v)
    return (
        f"The phases can be {apart} apart; the limit is {limit}.",
        f"{_balance(v)}, {amps(v['difference_ma'])} at the voltage of the procedure."
        if "limit_ma" not in v
        else f"{_balance(v)}, {amps(v['difference_ma'])} at 230 V.",
    )


def balance_at_limit(v: Values) -> Words:
    """The phases can be exactly as far apart as the limit."""
    reading = (
        "for one technology alone the limit is included"
        if v["kept"]
        else "for several technologies the text says less than the limit"
    )
    return (
        f"The phases can be exactly {_apart(v)[1]} apart, the limit itself; ask the network "
        "operator.",
        f"{_balance(v)}; {reading}.",
    )


def balance_not_known(v: Values) -> Words:
    """How far the phases can be apart can't be told: capacities are missing."""
    needs = "apparent power" if v.get("va") else "capacity"
    return (
        f"Cannot tell whether the phases are in balance: needs every unit's {needs}.",
        "The sums per phase are open while a capacity is not known.",
    )


def neighbours(v: Values) -> Words:
    """The firm works at other premises near by, or may."""
    held = v["metres"] is not None
    within = f"within {v['metres']} m and {v['days']} days" if held else "near by"
    if v["premises"] is None:
        return (
            "Whether the firm works at other premises near by is not known; read as if it does.",
            f"Within {v['metres']} m and {v['days']} days before or after."
            if held
            else "This rulebook holds no distance and no days for it.",
        )
    return (
        f"The firm commissions micro-generation at {v['premises']} other premises {within}.",
        "The published text of the small-installation routes does not speak of several premises."
        if str(v["procedure"]).startswith("sgi")
        else "Several premises of one firm near each other are applied for first.",
    )


def looped_service(v: Values) -> Words:
    """The service is looped; its severity is what the operator has said of that."""
    said = {
        "ask": "Ask the operator first.",
        "accepted": "The operator takes generation on it.",
        "refused": "The operator takes no generation on it.",
    }[v["rule"]]
    return (
        f"The service is looped: it shares its cable with a neighbour. {said}",
        "This is the network operator's own rule."
        if v["stated"]
        else "No published number was found for generation on a looped service.",
    )


_OF_PHASES = {1: "one phase", 2: "two phases", 3: "three phases"}


def supply_change(v: Values) -> Words:
    """Another number of phases is proposed than the supply has now."""
    are = "is" if v["then"] == 1 else "are"
    return (
        f"The supply has {_OF_PHASES[v['now']]} now, and {_OF_PHASES[v['then']]} {are} proposed. "
        "The network operator is asked for such a supply first; it provides one at a price and in "
        "a time of its own.",
        "The procedure is that of the site with the new supply; none of its periods covers the "
        "supply itself.",
    )


def local_export_cap(v: Values) -> Words:
    """The export figure is above a cap of the site's feeder or postcode sector."""
    per = "on one phase" if v["per"] == "phase" else "in all"
    where = {
        "feeder": "for this feeder",
        "sector": "for this postcode sector",
        "everywhere": "for every site here",
    }[v["where"]]
    excess = v["export"] - v["cap"]
    over = f"{in_unit(excess, v['unit'])} too much." if excess > 0 else "just above it."
    figure = "Export in W stands for VA. " if v["unit"] == "VA" else ""
    return (
        f"The export figure of {in_unit(v['export'], v['unit'])} {per} is above the cap of "
        f"{in_unit(v['cap'], v['unit'])} {where}.",
        f"{v['says']} {figure}{in_unit(v['export'], v['unit'])} against "
        f"{in_unit(v['cap'], v['unit'])}: {over} A limitation scheme that counts answers it.",
    )


def cap_place_not_known(v: Values) -> Words:
    """Feeder or postcode is not known, and caps of such places are below the export."""
    lacking = [
        word for word, is_lacking in (("feeder", v["feeder"]), ("postcode", v["sector"]))
        if is_lacking
    ]  # fmt: skip
    is_are = "is" if len(lacking) == 1 else "are"
    caps = f"{v['caps']} cap" + ("s" if v["caps"] > 1 else "")
    return (
        f"The {listed(lacking)} of the premises {is_are} not known; {caps} on export in this area "
        f"{'are' if v['caps'] > 1 else 'is'} below the export figure of this site.",
        "Whether one of them is for this site can be told once that is known; ask the network "
        "operator.",
    )


def local_condition(v: Values) -> Words:
    """An extra condition holds, or may; its entry says how severe that is."""
    with_it = f" Send with it: {listed(v['attachments'])}." if v["attachments"] else ""
    may = "It can't be told yet whether this is asked here: " if v["open"] else ""
    return (
        f"{may}{v['says']} {v['asks']}{with_it}",
        "Some facts that its conditions ask about are not known."
        if v["open"]
        else "Every one of its conditions holds for this site.",
    )


def missing_fact(v: Values) -> Words:
    """A fact that the pack should have is not known."""
    return (
        f"Not known: {v['fact']}.",
        "It does not change the procedure, but the reader wants it.",
    )


def level_not_known(v: Values) -> Words:
    """The voltage level is null, and read as low."""
    return (
        "The voltage level of the supply is not known; read as low voltage.",
        "A high-voltage supply has procedures of its own.",
    )


def nominal_voltage(v: Values) -> Words:
    """Another nominal voltage than the rulebook's."""
    typed = "not known" if v["typed_v"] is None else f"{v['typed_v']} V"
    return (
        f"The nominal voltage is {typed}; procedure currents are still worked out at "
        f"{volts(v['nominal_mv'])}.",
        "Design currents use the supply's own voltage.",
    )


def voltage_optimiser(v: Values) -> Words:
    """A voltage optimiser stands ahead of the generation."""
    return (
        "A voltage optimiser stands between the supply terminals and the generator.",
        "It may not; the generator must see the network's voltage.",
    )


_SCHEMES = {
    "gb13": "a number of Great Britain (13 digits)",
    "ni11": "a number of Northern Ireland (11 digits)",
    "ie11": "a number of Ireland (11 digits)",
}


def supply_number_scheme(v: Values) -> Words:
    """A supply number of another kind than premises under this rulebook have."""
    given = _SCHEMES.get(v["scheme"], f'a number of the kind "{v["scheme"]}"')
    named = _SCHEMES.get(v["named"], f'one of the kind "{v["named"]}"')
    return (
        f"The supply number is {given}; premises under this rulebook have {named}. Check the "
        "nation and the number.",
        "The nation of the premises picks the rulebook; the number was not used.",
    )


def export_above_phase_limit(v: Values) -> Words:
    """More export on one phase than the rulebook lets any site have."""
    export, limit = in_unit(v["export"], v["unit"]), in_unit(v["limit"], v["unit"])
    return (
        f"{v['phase']} can export {export}; this rulebook lets a phase export {limit}.",
        f"{export} against {limit}. A limitation scheme can answer it.",
    )


def export_phase_not_known(v: Values) -> Words:
    """Whether one phase exports too much can't be told without the apparent power."""
    return (
        f"Cannot tell whether {v['phase']} exports more than {in_unit(v['limit'], v['unit'])}: "
        "needs every unit's apparent power.",
        "A real power is never taken for an apparent one; the apparent power is at least as high.",
    )


def export_above_import(v: Values) -> Words:
    """Export capacity is above import capacity, where that may not be."""
    export, import_ = kilowatts(v["export_va"], "kVA"), kilowatts(v["import_va"], "kVA")
    return (
        f"The agreed export capacity of {export} is above the agreed import capacity of {import_}, "
        "which this rulebook does not let it be.",
        f"{export} - {import_} = {kilowatts(v['export_va'] - v['import_va'], 'kVA')} too much.",
    )


def transmission_assessment(v: Values) -> Words:
    """The export is one whose effects on the transmission system are assessed."""
    return (
        f"The site can export {kilowatts(v['export_w'])}; from {kilowatts(v['from_w'])} on, its "
        "effect on the transmission system is assessed in this area, which takes longer.",
        "An export limit that counts lowers the figure.",
    )


def apparent_below_rated(v: Values) -> Words:
    """Apparent power is below registered capacity, where the rulebook asks for it."""
    return (
        f"{v['unit']} has an apparent power of {kilowatts(v['rated_va'], 'kVA')}, below its "
        f"registered capacity of {kilowatts(v['rated_w'])}; one of the two is wrong.",
        "Apparent power is never below real power.",
    )


def ma_for_va(v: Values) -> Words:
    """A declared current stands for the apparent power, where the rulebook asks for that."""
    return (
        f"The apparent power of {v['unit']} is not known; its declared output current of "
        f"{amps(v['rated_ma'])} a phase is taken for it.",
        "Worked out at the voltage of the procedure, phase to neutral.",
    )


def supply_number_prefix(v: Values) -> Words:
    """A prefix that names no area."""
    return (
        f"The supply number's first two digits ({v['prefix']}) name no licence area in this "
        "rulebook; the number is kept.",
        f"Licence area used: {v['area'] or 'not known; please give it'}.",
    )


def independent_network(v: Values) -> Words:
    """An independent operator's prefix."""
    return (
        f"The supply number's first two digits ({v['prefix']}) name an independent network "
        "operator, which tells no region; the pack goes to that operator.",
        f"Licence area used: {v['area'] or 'not known; please give it'}.",
    )


def area_differs(v: Values) -> Words:
    """Area given and area of the supply number differ."""
    return (
        f"The licence area given ({v['typed']}) is not the one that the supply number names "
        f"({v['found']}, {v['name']}).",
        f"The first two digits are {v['prefix']}. The area given was used.",
    )


def area_not_known(v: Values) -> Words:
    """No area is known."""
    return (
        "The licence area is not known; please give it.",
        "Local values of an area can't be applied without it.",
    )


def behind_nothing(v: Values) -> Words:
    """Panels or cells stand behind no inverter."""
    why = {
        "missing": "which is not there",
        "removed": "which is taken out",
        "no-inverter": "which is no inverter",
    }[v["why"]]
    return (
        f"{v['what'].capitalize()} sit behind {v['unit']}, {why}.",
        "Every string of panels and every cell needs an inverter to sit behind.",
    )


def dc_side_change(v: Values) -> Words:
    """Panels or cells are added behind an inverter that stays."""
    return (
        f"{v['what'].capitalize()} are added behind {v['unit']}, whose capacity does not change; "
        "the operator is still to be told.",
        "Registered capacity is the inverter's, so the procedure's sums stay as they are.",
    )


def storage_outside_module(v: Values) -> Words:
    """Old storage counts in the facility and not in the module."""
    return (
        f"{v['unit']} is storage with its own inverter commissioned before {v['before']}: it "
        "counts in the facility's total, not in the module.",
        "Its capacity is left out of the size class only.",
    )


def array_smaller(v: Values) -> Words:
    """Panels smaller than their inverter, which still counts in full."""
    return (
        f"The panels behind {v['unit']} make at most {kilowatts(v['peak_w'], 'kWp')}, less than "
        f"the inverters' {kilowatts(v['rated_w'])}; the inverters' rating counts.",
        "The lesser figure is for information.",
    )


def does_not_export(v: Values) -> Words:
    """Cells said not to export; their inverter still counts."""
    return (
        f"The cells behind {v['unit']} are said not to export; its rating still counts in full.",
        "Only an export limit changes the export figure.",
    )


def uncertain_values(v: Values) -> Words:
    """Some of the values used are secondary or from memory."""
    return (
        f"{v['n']} of the {v['m']} values used were read only in secondary sources or stand from "
        "memory.",
        " ".join(v["says"]),
    )


def uncertain_value(v: Values) -> Words:
    """A secondary value, or one from memory, made the choice or is within 5 % of it."""
    why = "made the choice" if v["chose"] else "stands within 5 % of this site's figure"
    return (
        f"A value that is {v['certainty']} {why}: {v['says']}",
        f"{v['key']} = {v['written']}; check it before relying on it.",
    )


_PASSED = {
    "over": {"at most": "over its limit of", "at least": "under its limit of"},
    "close": {
        "at most": "within one step of its limit of",
        "at least": "within one step of its limit of",
    },
}


def checked(v: Values) -> Words:
    """An electrical check does not keep its limit, or comes within one step of it."""
    workings = " ".join(_sentence(line) for line in v["workings"])
    if v["result"] == "lacks":
        return f"{v['says'][:1].upper()}{v['says'][1:]}.", workings
    how = _PASSED[v["result"]][v["bound"]]
    return f"{v['title']} ({v['subject']}): {v['value']}, {how} {v['limit']}.", workings


def _sentence(line: str) -> str:
    return line if line.endswith((".", "?")) else f"{line}."


def impossible_operating_point(v: Values) -> Words:
    """No voltage exists at which the power can flow."""
    return (
        f"{v['title']} ({v['subject']}): {v['says']}.",
        "Check the length and size of the cables and the capacities; as they stand the plant could "
        "not run.",
    )


def checks_not_possible(v: Values) -> Words:
    """Electrical checks lack facts; said once for the site."""
    n = len(v["checks"])
    return (
        "An electrical check cannot be made: a fact is missing."
        if n == 1
        else f"{n} electrical checks cannot be made: facts are missing.",
        " ".join(_sentence(line) for line in v["checks"]),
    )


def override_not_used(v: Values) -> Words:
    """An engineer's figure is for no default, or in another unit."""
    return (
        f"The engineer's figure for {v['key']} {v['fault']}; it is not used.",
        "Limits are changed by a local entry of the rulebook, with its source.",
    )


def open_pen(v: Values) -> Words:
    """A charge point that finds a broken conductor by voltage may trip."""
    return (
        f"A board can come to {v['value']}: a charge point ({v['subject']}) that finds a broken "
        f"combined conductor by voltage opens at {v['limit']}.",
        " ".join(_sentence(line) for line in v["workings"]),
    )


def device_choice(v: Values) -> Words:
    """A device is below 1.25 times the design current, which many choose."""
    return (
        f"The protective device of {v['subject']} is {v['limit']}; many choose {v['value']} or "
        "more for generation, which flows for hours.",
        "Common practice, no rule. " + " ".join(_sentence(line) for line in v["workings"]),
    )


def load_notice(v: Values) -> Words:
    """The operator is asked before charge points or heat pumps are connected."""
    why = v["says"] or f"the demand is {v['value']}, and up to {v['limit']} it is told afterwards"
    return (
        f"Charge points and heat pumps on {v['subject']}: the network operator is asked before the "
        f"work, for {why}.",
        " ".join(_sentence(line) for line in v["workings"]),
    )


WORDING: dict[str, Callable[[Values], Words]] = {
    "undetermined": undetermined,
    "rule-missing": rule_missing,
    "rules-not-held": rules_not_held,
    "beyond": beyond,
    "boundary": boundary,
    "supply-cap": supply_cap,
    "phase-cap": phase_cap,
    "phase-not-on-supply": phase_not_on_supply,
    "nothing-counted": nothing_counted,
    "declared-current": declared_current,
    "declared-sum": declared_sum,
    "software-cap": software_cap,
    "design-below-rated": design_below_rated,
    "va-for-w": va_for_w,
    "not-type-tested": not_type_tested,
    "full-test-too-large": full_test_too_large,
    "no-register-reference": no_register_reference,
    "existing-undated": existing_undated,
    "can-island": can_island,
    "fact-not-known": fact_not_known,
    "standard-date": standard_date,
    "standard-too-small": standard_too_small,
    "switched-only": switched_only,
    "export-above-agreed": export_above_agreed,
    "export-above-cap": export_above_cap,
    "installed-above-cap": installed_above_cap,
    "cap-ended": cap_ended,
    "cap-split-not-known": cap_split_not_known,
    "limit-not-type-tested": limit_not_type_tested,
    "limit-not-known": limit_not_known,
    "netting-limit": netting_limit,
    "limit-in-va": limit_in_va,
    "tighter-limit": tighter_limit,
    "phases-out-of-balance": phases_out_of_balance,
    "balance-at-limit": balance_at_limit,
    "balance-not-known": balance_not_known,
    "neighbours": neighbours,
    "looped-service": looped_service,
    "supply-change": supply_change,
    "local-export-cap": local_export_cap,
    "cap-place-not-known": cap_place_not_known,
    "local-condition": local_condition,
    "missing-fact": missing_fact,
    "level-not-known": level_not_known,
    "nominal-voltage": nominal_voltage,
    "voltage-optimiser": voltage_optimiser,
    "supply-number-scheme": supply_number_scheme,
    "export-above-phase-limit": export_above_phase_limit,
    "export-phase-not-known": export_phase_not_known,
    "export-above-import": export_above_import,
    "transmission-assessment": transmission_assessment,
    "apparent-below-rated": apparent_below_rated,
    "ma-for-va": ma_for_va,
    "supply-number-prefix": supply_number_prefix,
    "independent-network": independent_network,
    "area-differs": area_differs,
    "area-not-known": area_not_known,
    "behind-nothing": behind_nothing,
    "dc-side-change": dc_side_change,
    "storage-outside-module": storage_outside_module,
    "array-smaller": array_smaller,
    "does-not-export": does_not_export,
    "uncertain-values": uncertain_values,
    "uncertain-value": uncertain_value,
    **dict.fromkeys(FINDING_OF.values(), checked),
    "impossible-operating-point": impossible_operating_point,
    "checks-not-possible": checks_not_possible,
    "override-not-used": override_not_used,
    "caution-open-pen": open_pen,
    "caution-device-choice": device_choice,
    "load-notice": load_notice,
}


def words_of(finding: str, values: Values) -> Words:
    """The sentence and the workings of a finding."""
    return WORDING[finding](values)
