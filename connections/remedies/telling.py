"""A remedy in one sentence: the change, its effect and its cost."""

from typing import TypeAlias

from connections.facts.decision import Change, Remedy, Step
from connections.facts.defaults import is_counted, phases_now, quantity_of, registered_w
from connections.facts.site import Site
from connections.remedies.kinds.other_reading import ASKING, reading_reached
from connections.remedies.option import Option, Start
from connections.remedies.proof import BALANCE, cleared_in_words, left_in_words, to_clear
from connections.rules.case import title_of
from connections.rules.decide import Decided
from connections.rules.deciding_facts import limit_of
from connections.rules.export import export_figure
from connections.rules.figures import amps, kilowatts, listed

COMPETENT = "To be designed and tested by a competent person."

LONGEST_NAME = 80
"""Most characters in the name of a remedy (our choice)."""

Loss: TypeAlias = tuple[bool, int, int, bool]
"""What a remedy loses, compared from the first: whether it needs a larger supply, with its price
and time; power [W]; export [scaled]; whether import is held. Power counts before export, which a
limit holds back at times alone (our choice)."""

_UNITS = {"days": "day", "working-days": "working day", "months": "month"}
_FROM = {"submission": "of submission", "commissioning": "after commissioning"}


def remedy(start: Start, *options: Option) -> Remedy:
    """Make the remedy of one option, or of two together; the last one is proved."""
    last = options[-1]
    after = last.proof.decided
    asks = last.kind == ASKING
    what = " with ".join(option.what for option in options)
    margin, unit = _margin(after)
    notes = [note for option in options for note in option.notes]
    power = None if asks else _power(start.before.case.site, after.case.site)
    fits = tuple(dict.fromkeys(name for option in options for name in option.fits))
    leaves = tuple(sorted({name for name, _ in after.stops}))
    begins = _begins(what, start.before.case.site)
    sentences = [
        f"{begins} is worth asking for."
        if asks
        else f"{begins} {'lead' if _many(what) else 'leads'} to: "
        f"{title_of(after.case, after.procedure)}.",
        "" if asks else time_in_words(after),
        cleared_in_words(last.proof.clears),
        left_in_words(leaves),
        "The phases stay out of balance." if BALANCE in to_clear(after) else "",
        "" if asks else _left(margin, unit),
        *dict.fromkeys(notes),
        power or "",
        f"Of the firm's catalogue these fit: {listed(fits)}." if fits else "",
        COMPETENT if any(option.competent for option in options) else "",
    ]
    change: tuple[Change, ...] = tuple(c for option in options for c in option.change)
    return Remedy(
        kind=" and ".join(option.kind for option in options),
        sentence=" ".join(sentence for sentence in sentences if sentence),
        change=change,
        takes_out=tuple(name for option in options for name in option.takes_out),
        procedure=reading_reached(start.before) if asks else after.procedure,
        clears=last.proof.clears,
        margin=None if asks else margin,
        margin_unit="" if asks else unit,
        fits=fits,
        leaves=leaves,
        name=_short(", ".join(option.name for option in options)),
    )


def _begins(what: str, site: Site) -> str:
    """The change with a capital letter; the id of a unit keeps its letters."""
    if what.split(" ", 1)[0] in {unit.id.split(" ", 1)[0] for unit in site.units}:
        return what
    return f"{what[0].upper()}{what[1:]}"


def _short(name: str) -> str:
    """A name of a few words; a longer one is cut at a whole word."""
    if len(name) <= LONGEST_NAME:
        return name
    return f"{name[: LONGEST_NAME - 9].rsplit(' ', 1)[0].rstrip(',')} and more"


def time_in_words(decided: Decided) -> str:
    """Time until the work may begin, or when to tell the operator, from the rulebook.

    Waits in any case for a supply that is still to be asked for.
    """
    if phases_now(decided.case.site) is None:
        return _time_of(decided.steps)
    told = _time_of(decided.steps).removeprefix("No need to wait")
    told = told.removeprefix("; ").removeprefix(".")
    begins = "You must wait for the new supply; no date is given."
    return f"{begins} {told[0].upper()}{told[1:]}" if told else begins


def _time_of(steps: tuple[Step, ...]) -> str:
    waiting = [step for step in steps if step.wait]
    for step in waiting:
        if step.limit is not None and step.limit.from_ in _FROM:
            return f"The network operator answers within {_period(step)}."
    if waiting:
        return "How long the network operator takes to answer is not stated."
    for step in steps:
        if step.what == "notification" and step.limit is not None and step.limit.from_ in _FROM:
            return f"No need to wait; notify the network operator within {_period(step)}."
    return "No need to wait."


def _period(step: Step) -> str:
    assert step.limit is not None
    n, unit = step.limit.n, _UNITS.get(step.limit.unit, step.limit.unit)
    return f"{n} {unit}{'' if n == 1 else 's'} {_FROM[step.limit.from_]}"


def _many(what: str) -> bool:
    """Whether the change is a plural: "4 units instead of 6 ..."."""
    first = what.split(" ", 1)[0]
    return first.isdigit() and first != "1"


def _margin(after: Decided) -> tuple[int | None, str]:
    """Margin of the reached row on the fullest phase, or in all, rounded down."""
    case = after.case
    if case.evaluation.row is None:
        return None, ""
    row = case.ready.rows[case.evaluation.row]
    limits: dict[str, list[int]] = {}
    for test in row.tests:
        if isinstance(test.limit, int) and not isinstance(test.limit, bool):
            limits.setdefault(test.fact, []).append(test.limit)
    if "largest_phase_sum" in limits:
        fullest = max(bounds[1] for bounds in case.sums.phases.values())
        left = min(limits["largest_phase_sum"]) - fullest
        return max(0, left) // (6 * case.ready.nominal_mv), "mA"
    if "total" in limits:
        return max(0, min(limits["total"]) - case.sums.total[1]) // 6_000_000, "W"
    return None, ""


def _left(margin: int | None, unit: str) -> str:
    if margin is None:
        return ""
    what = "fullest phase" if unit == "mA" else "total"
    if not margin:
        return f"The {what} is then exactly at the limit."
    left = amps(margin) if unit == "mA" else kilowatts(margin)
    return f"The {what} then stays {left} below this procedure's limit."


def power_w(site: Site) -> int | None:
    """Power of sun, cells and other plant at once [W]: inverters add, a shared one counts once.
    None where a rating is not known."""
    total = 0
    for unit in site.units:
        if is_counted(unit):
            rated, n = registered_w(unit), quantity_of(unit)
            if rated is None or n is None:
                return None
            total += rated * n
    return total


def lost(before: Decided, after: Decided) -> Loss:
    """What a changed site loses; power that is not known counts as kept."""
    was, now = before.case.site, after.case.site
    power_was, power_now = power_w(was), power_w(now)
    export_was, export_now = (
        export_figure(each.case.site, each.case.setting, each.case.sums).total
        for each in (before, after)
    )
    return (
        now.supply.phases > was.supply.phases,
        0 if power_was is None or power_now is None else max(0, power_was - power_now),
        max(0, export_was - export_now),
        limit_of(now, "import") != limit_of(was, "import"),
    )


def _power(before: Site, after: Site) -> str | None:
    was, now = power_w(before), power_w(after)
    if was is None or now is None or was == now:
        return None
    moves = "drops" if now < was else "rises"
    return f"Maximum output {moves} from {kilowatts(was)} to {kilowatts(now)}."
