"""Limitation schemes, and the network operator's agreed and answered figures."""

from collections.abc import Iterator

from msgspec import UNSET

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    scaled_current,
    whole_milliamps,
    whole_watts,
)
from connections.facts.defaults import known, phases_now
from connections.facts.site import Limit, Limits
from connections.rulebook.telling import dated
from connections.rules.case import Case, read_units
from connections.rules.deciding_facts import counts, limit_of
from connections.rules.export import export_figure
from connections.rules.figures import amps, in_unit, kilowatts
from connections.rules.findings import testing
from connections.rules.findings.capacity import CAPACITY
from connections.rules.kinds import Found, Kind, Read, Values, Words

_EXPORT = ("value", "basis", "type_tested", "nets_phases")


def _read_limit(case: Case, which: str) -> tuple[Read, ...]:
    limit = limit_of(case.site, which)
    if limit is None:
        return ((f"limits.{which}", None),)
    return tuple((f"limits.{which}.{name}", getattr(limit, name)) for name in _EXPORT)


def _limits(case: Case) -> Iterator[tuple[str, Limit]]:
    if not isinstance(case.site.limits, Limits):
        return
    for which in ("export", "import"):
        limit = limit_of(case.site, which)
        if limit is not None:
            yield which, limit


def _limit_not_type_tested_words(v: Values) -> Words:
    known = "is not fully type tested" if v["known"] else "is not known to be fully type tested"
    return (
        f"The {v['which']} limitation scheme {known}, so it does not count for the procedure.",
        "A scheme of another kind needs test evidence and often a witness.",
    )


LIMIT_NOT_TYPE_TESTED = Kind(
    "limit-not-type-tested",
    "decide",
    "Is a limitation scheme not fully type tested, or not known to be?",
    _limit_not_type_tested_words,
)


def limit_not_type_tested(case: Case) -> Iterator[Found]:
    """A scheme that is not, or not known to be, fully type tested: it does not count."""
    for which, limit in _limits(case):
        if limit.type_tested is not True:
            yield LIMIT_NOT_TYPE_TESTED.found(
                f"{which}-limit",
                {"which": which, "known": limit.type_tested is False},
                keys=("sgi-2.export_limit",) if which == "export" else (),
                read=((f"limits.{which}.type_tested", limit.type_tested),),
            )


def limit_no_reference(case: Case) -> Iterator[Found]:
    """A type-tested scheme without its entry in the type-test register."""
    for which, limit in _limits(case):
        if limit.type_tested is True and not (known(limit.type_test_reference) or "").strip():
            yield testing.NO_REGISTER_REFERENCE.found(
                f"{which}-limit",
                {"unit": f"the {which} limitation scheme"},
                read=(
                    (f"limits.{which}.type_tested", limit.type_tested),
                    (f"limits.{which}.type_test_reference", limit.type_test_reference),
                ),
            )


LIMIT_NOT_KNOWN = Kind(
    "limit-not-known",
    "inform",
    "Is there a limit without its value?",
    lambda v: (
        f"The value of the {v['which']} limit is not known.",
        "A limit without a value is none.",
    ),
)


def limit_not_known(case: Case) -> Iterator[Found]:
    """A limit of unknown value, or of unknown existence."""
    limits = case.site.limits
    for which, stated in (
        ("export", limits.export if isinstance(limits, Limits) else limits),
        ("import", limits.import_ if isinstance(limits, Limits) else limits),
    ):
        if stated is None:
            path = "limits" if limits is None else f"limits.{which}"
        elif isinstance(stated, Limit) and stated.value is None:
            path = f"limits.{which}.value"
        else:
            continue
        yield LIMIT_NOT_KNOWN.found(
            f"{which}-limit",
            {"which": which},
            read=((path, None),),
        )


def _netting_limit_words(v: Values) -> Words:
    known = "nets the phases" if v["known"] else "may net the phases (not known)"
    return (
        f"The {v['which']} limit is on the total and the scheme {known}; the operator's limit is "
        "per phase.",
        "One phase could export the whole while the others import, so each phase is bounded only "
        "by the whole.",
    )


NETTING_LIMIT = Kind(
    "netting-limit",
    "decide",
    "Does a limit on the total let one phase export while another imports?",
    _netting_limit_words,
)


def netting(case: Case) -> Iterator[Found]:
    """A limit on the total that lets one phase export while another imports."""
    if case.site.supply.phases == 1:
        return
    for which, limit in _limits(case):
        if limit.basis != "ma_per_phase" and limit.nets_phases is not False:
            yield NETTING_LIMIT.found(
                f"{which}-limit",
                {"which": which, "known": limit.nets_phases is True},
                read=_read_limit(case, which),
            )


LIMIT_IN_VA = Kind(
    "limit-in-va",
    "inform",
    "Is a limit in VA compared with watts?",
    lambda v: (
        f"The {v['which']} limit of {kilowatts(v['value_va'], 'kVA')} is compared with kW.",
        "Real power is never more than apparent power, so the comparison errs high.",
    ),
)


def limit_in_va(case: Case) -> Iterator[Found]:
    """A limit stated in VA is compared with watts, which are never more."""
    for which, limit in _limits(case):
        if limit.basis == "va_total":
            yield LIMIT_IN_VA.found(
                f"{which}-limit",
                {"which": which, "value_va": limit.value},
                read=_read_limit(case, which),
            )


TIGHTER_LIMIT = Kind(
    "tighter-limit",
    "inform",
    "Is the export limit tighter than the clause names?",
    lambda v: (
        f"The export limit of {amps(v['limit_ma'])} a phase is tighter than the "
        f"{amps(v['named_ma'])} of the clause.",
        "It qualifies; the operator may ask why it is lower.",
    ),
)


def tighter_limit(case: Case) -> Iterator[Found]:
    """A limit below the one in the clause."""
    key = "sgi-3.export_limit"
    if case.outcome != "sgi-3" or not counts(limit_of(case.site, "export")):
        return
    row = case.ready.rows[case.evaluation.row or 0]
    if not any(test.fact == "export_limit" for test in row.tests):
        return
    named = case.ready.book.whole(key)
    if case.setting.export_limit < scaled_current(named, case.ready.nominal_mv):
        ma = whole_milliamps(case.setting.export_limit, case.ready.nominal_mv)
        yield TIGHTER_LIMIT.found(
            "export-limit",
            {"limit_ma": ma, "named_ma": named},
            keys=(key,),
            read=_read_limit(case, "export"),
            margin=named - ma,
            margin_unit="mA",
        )


EXPORT_ABOVE_AGREED = Kind(
    "export-above-agreed",
    "stops",
    "Is the export figure above the agreed export capacity?",
    lambda v: (
        f"The site can export {kilowatts(v['export_w'])}, more than the agreed "
        f"{kilowatts(v['agreed_va'], 'kVA')}.",
        f"{kilowatts(v['export_w'])} - {kilowatts(v['agreed_va'], 'kVA')} = "
        f"{kilowatts(v['export_w'] - v['agreed_va'])} too much, at unity power factor.",
    ),
)


def export_above_agreed(case: Case) -> Iterator[Found]:
    """The export figure is above the agreed export capacity of the supply."""
    agreed = case.site.supply.export_capacity_va
    if not isinstance(agreed, int):
        return
    figure = export_figure(case.site, case.setting, case.sums).total
    over = figure - agreed * SCALE_PER_W
    if over > 0:
        yield EXPORT_ABOVE_AGREED.found(
            "supply",
            {"export_w": whole_watts(figure), "agreed_va": agreed},
            read=(
                ("supply.export_capacity_va", agreed),
                *_read_limit(case, "export"),
                *read_units(case, *CAPACITY),
            ),
            margin=-over // SCALE_PER_W,
            margin_unit="W",
        )


CAP_ENDED = Kind(
    "cap-ended",
    "inform",
    "Has an operator's cap run out?",
    lambda v: (
        f"The operator's cap on {v['on']} ended on {dated(v['until'])} and is not applied.",
        "Ask whether it still holds.",
    ),
)


def _export_above_cap_words(v: Values) -> Words:
    return _above_cap(v, "The export figure", "A limitation scheme can answer a cap on export.")


def _above_cap(v: Values, what: str, answer: str) -> Words:
    reference = f" ({v['reference']})" if v["reference"] else ""
    amount, cap = in_unit(v["amount"], v["unit"]), in_unit(v["cap"], v["unit"])
    shares = v.get("shares", 1) if v["unit"] != "mA" and v.get("now") is None else 1
    if shares > 1:
        # The comparison uses the fullest phase times their number; readers want the phase itself.
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


EXPORT_ABOVE_CAP = Kind(
    "export-above-cap",
    "stops",
    "Is the export figure above the operator's cap on export?",
    _export_above_cap_words,
)


def _installed_above_cap_words(v: Values) -> Words:
    return _above_cap(
        v,
        "The installed capacity",
        "An export limit does not lower it; only less or shared inverter capacity does.",
    )


INSTALLED_ABOVE_CAP = Kind(
    "installed-above-cap",
    "stops",
    "Is the installed capacity above the operator's cap on it?",
    _installed_above_cap_words,
)


def above_cap(case: Case) -> Iterator[Found]:
    """The export figure or the installed capacity is above the operator's answer."""
    if not case.site.caps:
        return
    figure = export_figure(case.site, case.setting, case.sums)
    for i, cap in enumerate(case.site.caps):
        until = known(cap.until)
        split = () if cap.split_equally is UNSET else ("split_equally",)
        read = (
            (f"caps[{i}].on", cap.on),
            (f"caps[{i}].value", cap.value),
            (f"caps[{i}].basis", cap.basis),
            (f"caps[{i}].until", until),
            *((("supply.phases", case.site.supply.phases),) if split else ()),
            *((f"caps[{i}].{name}", cap.split_equally) for name in split),
            *read_units(case, *CAPACITY),
        )
        if until is not None and until < case.site.on_date:
            yield CAP_ENDED.found(
                f"caps[{i}]",
                {"on": cap.on, "until": until.isoformat()},
                read=read,
            )
            continue
        export = cap.on == "export"
        phases = (
            figure.phases
            if export
            else {phase: case.sums.phases[phase][0] for phase in figure.phases}
        )
        now = phases_now(case.site)
        of_supply_now: dict[str, int] = {}
        # A cap in amps is per phase anyway, also if a total would be split.
        split_total = cap.split_equally is True and cap.basis != "ma_per_phase"
        value = cap.value
        if cap.basis == "ma_per_phase" and now is not None and now < case.site.supply.phases:
            # A cap in amps refers to the present phases; more phases do not raise it in total.
            limit = now * scaled_current(cap.value, case.ready.nominal_mv)
            amount = figure.total if export else case.sums.total[0]
            over = amount - limit
            shown, value = whole_watts(amount), whole_watts(limit)
            unit, step = "W", SCALE_PER_W
            of_supply_now = {"now": now, "stated_ma": cap.value}
            read = (*read, ("supply.phases", case.site.supply.phases), ("supply.now_phases", now))
        elif cap.basis == "ma_per_phase":
            amount = max(phases.values())
            over = amount - scaled_current(cap.value, case.ready.nominal_mv)
            shown = whole_milliamps(amount, case.ready.nominal_mv)
            unit, step = "mA", 6 * case.ready.nominal_mv
        else:
            amount = figure.total if export else case.sums.total[0]
            if split_total:
                # Each phase may carry its share, so the fullest one times their number counts.
                amount = max(amount, max(phases.values()) * len(phases))
            over = amount - cap.value * SCALE_PER_W
            shown = whole_watts(amount)
            unit, step = "W" if cap.basis == "w_total" else "VA", SCALE_PER_W
        if over > 0:
            yield (EXPORT_ABOVE_CAP if export else INSTALLED_ABOVE_CAP).found(
                f"caps[{i}]",
                {
                    "amount": shown,
                    "cap": value,
                    "unit": unit,
                    "reference": known(cap.from_operator_reference) or "",
                    "shares": len(phases) if split_total else 1,
                    **of_supply_now,
                },
                read=(*read, *_read_limit(case, "export")) if export else read,
                margin=-over // step,  # rounded away from the limit, so never 0
                margin_unit=unit,
            )


_CAPPED = {"export": "export", "installed": "installed capacity"}


def _cap_split_not_known_words(v: Values) -> Words:
    cap = in_unit(v["cap"], v["unit"])
    return (
        f"The operator's cap on {_CAPPED[v['on']]} is {cap} in all, and it is not said how "
        f"{v['phases']} phases share it: {amps(v['one_ma'])} on one phase, or {amps(v['each_ma'])} "
        "on each.",
        f"{cap} at unity power factor, on one phase and in {v['phases']} equal shares. Ask the "
        "operator which it means; until then the total alone is compared.",
    )


CAP_SPLIT_NOT_KNOWN = Kind(
    "cap-split-not-known",
    "decide",
    "Is it not said how several phases share a cap on their total?",
    _cap_split_not_known_words,
)


def cap_split(case: Case) -> Iterator[Found]:
    """A cap on the total of several phases without a word on how they share it."""
    count = case.site.supply.phases
    if count == 1:
        return
    for i, cap in enumerate(case.site.caps):
        ended = known(cap.until) is not None and (known(cap.until) or case.site.on_date) < (
            case.site.on_date
        )
        if cap.basis == "ma_per_phase" or known(cap.split_equally) is not None or ended:
            continue
        scaled = cap.value * SCALE_PER_W
        yield CAP_SPLIT_NOT_KNOWN.found(
            f"caps[{i}]",
            {
                "on": cap.on,
                "cap": cap.value,
                "unit": "W" if cap.basis == "w_total" else "VA",
                "phases": count,
                "one_ma": whole_milliamps(scaled, case.ready.nominal_mv),
                "each_ma": whole_milliamps(scaled, count * case.ready.nominal_mv),
            },
            read=(
                (f"caps[{i}].on", cap.on),
                (f"caps[{i}].value", cap.value),
                (f"caps[{i}].basis", cap.basis),
                (f"caps[{i}].split_equally", known(cap.split_equally)),
                ("supply.phases", count),
            ),
        )


QUESTIONS = (
    export_above_agreed,
    above_cap,
    cap_split,
    limit_not_type_tested,
    limit_no_reference,
    netting,
    limit_not_known,
    limit_in_va,
    tighter_limit,
)
