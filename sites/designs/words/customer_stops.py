"""Words for the customer about what stops a design, without clauses, ids or our terms."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeAlias

from connections.facts.decision import Finding
from connections.rules.figures import in_unit
from connections.rules.kinds import Found

Values: TypeAlias = Mapping[str, Any]
"""What a finding says; each finding has its own."""

_NOT_POSSIBLE = "Not possible as it is: "
_OTHER = "something in it has to be changed first"


def stopped_words(stops: Iterable[Finding | Found]) -> tuple[str, ...]:
    """Return why a design is not possible in one sentence, then what is not known yet.

    Empty if nothing stops it.
    """
    stops = list(stops)
    told = dict.fromkeys(_UNTOLD[each.id] for each in stops if each.id in _UNTOLD)
    why = dict.fromkeys(_reason(each) for each in stops if each.id not in _UNTOLD)
    sentence = (f"{_NOT_POSSIBLE}{'; '.join(why)}.",) if why else ()
    return (*sentence, *told)


def _reason(finding: Finding | Found) -> str:
    say = _SAYS.get(finding.id)
    return _OTHER if say is None else say(finding.values)


def _export(v: Values) -> str:
    return f"the network operator allows {_most(v)} of export{_how(v)}"


def _installed(v: Values) -> str:
    return f"the network operator allows inverters of {_most(v)}{_how(v)} and no more"


def _most(v: Values) -> str:
    return in_unit(v["cap"], v["unit"])


def _how(v: Values) -> str:
    if v["unit"] == "mA":
        return " on each phase"
    if v.get("now") is not None:
        return " in all"
    return " in all, in equal shares of the phases" if v.get("shares", 1) > 1 else ""


def _export_here(v: Values) -> str:
    on = " on each phase" if v["per"] == "phase" else ""
    return f"the network operator allows {_most(v)} of export{on} here"


def _agreed(v: Values) -> str:
    return f"{in_unit(v['agreed_va'], 'VA')} of export is agreed with the network operator"


def _phase_limit(v: Values) -> str:
    most = in_unit(v["limit"], v["unit"])
    return f"one phase may send out {most} at most"


def _supply(v: Values) -> str:
    most = in_unit(v["cap_w"], "W")
    return f"this supply may carry inverters of {most} at most"


def _always(words: str) -> Callable[[Values], str]:
    return lambda _: words


_SAYS: dict[str, Callable[[Values], str]] = {
    "export-above-cap": _export,
    "installed-above-cap": _installed,
    "local-export-cap": _export_here,
    "export-above-agreed": _agreed,
    "export-above-phase-limit": _phase_limit,
    "supply-cap": _supply,
    "export-above-import": _always("more export than import is agreed for this supply"),
    "phase-not-on-supply": _always("it needs a phase that the supply does not have"),
    "behind-nothing": _always("part of the panels or of the battery has no inverter"),
    "looped-service": _always(
        "the supply cable is shared with a neighbour, and the network operator takes no generation "
        "on it"
    ),
    "owner-refuses": _always("the owner of the house does not agree"),
    "local-condition": _always("a condition of the network operator for this place is not met"),
}
"""Words by id of the finding; a stop without words gets the general ones."""

_UNTOLD = {
    "undetermined": "Not told yet: something about the house or the plant is not known.",
    "rule-missing": "Not told yet: the network operator has to be asked for its rules.",
    "beyond": "Larger than is prepared here: the network operator has to be asked how.",
}
"""Stops that leave open whether the design is possible."""
