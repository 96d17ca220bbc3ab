"""Limitation schemes, and what the network operator has agreed or answered."""

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
from connections.rules.case import Case, Found, Read, read_units
from connections.rules.deciding_facts import counts, limit_of
from connections.rules.export import export_figure
from connections.rules.findings.capacity import CAPACITY

_EXPORT = ("value", "basis", "type_tested", "nets_phases")


def _read_limit(case: Case, which: str) -> tuple[Read, ...]:
    limit = limit_of(case.site, which)
    if limit is None:
        return ((f"limits.{which}", None),)
    return tuple((f"limits.{which}.{name}", getattr(limit, name)) for name in _EXPORT)


def _limits(case: Case) -> Iterator[tuple[str, Limit]]:
    for which in ("export", "import"):
        limit = limit_of(case.site, which)
        if limit is not None:
            yield which, limit


def limit_not_type_tested(case: Case) -> Iterator[Found]:
    """A scheme that is not fully type tested, or not known to be: it does not count."""
    for which, limit in _limits(case):
        if limit.type_tested is not True:
            yield Found(
                "limit-not-type-tested",
                f"{which}-limit",
                "decide",
                {"which": which, "known": limit.type_tested is False},
                keys=("sgi-2.export_limit",) if which == "export" else (),
                read=((f"limits.{which}.type_tested", limit.type_tested),),
            )


def limit_no_reference(case: Case) -> Iterator[Found]:
    """A type-tested scheme without its entry in the type-test register."""
    for which, limit in _limits(case):
        if limit.type_tested is True and not (known(limit.type_test_reference) or "").strip():
            yield Found(
                "no-register-reference",
                f"{which}-limit",
                "decide",
                {"unit": f"the {which} limitation scheme"},
                read=(
                    (f"limits.{which}.type_tested", limit.type_tested),
                    (f"limits.{which}.type_test_reference", limit.type_test_reference),
                ),
            )


def limit_not_known(case: Case) -> Iterator[Found]:
    """A limit without its value, or of which it is not known whether there is one."""
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
        yield Found(
            "limit-not-known",
            f"{which}-limit",
            "inform",
            {"which": which},
            read=((path, None),),
        )


def netting(case: Case) -> Iterator[Found]:
    """A limit on the total that lets one phase export while another imports."""
    if case.site.supply.phases == 1:
        return
    for which, limit in _limits(case):
        if limit.basis != "ma_per_phase" and limit.nets_phases is not False:
            yield Found(
                "netting-limit",
                f"{which}-limit",
                "decide",
                {"which": which, "known": limit.nets_phases is True},
                read=_read_limit(case, which),
            )


def limit_in_va(case: Case) -> Iterator[Found]:
    """A limit stated in VA is compared with watts, which are never more."""
    for which, limit in _limits(case):
        if limit.basis == "va_total":
            yield Found(
                "limit-in-va",
                f"{which}-limit",
                "inform",
                {"which": which, "value_va": limit.value},
                read=_read_limit(case, which),
            )


def tighter_limit(case: Case) -> Iterator[Found]:
    """A limit below the one that the clause names."""
    key = "sgi-3.export_limit"
    if case.outcome != "sgi-3" or not counts(limit_of(case.site, "export")):
        return
    row = case.ready.rows[case.evaluation.row or 0]
    if not any(test.fact == "export_limit" for test in row.tests):
        return
    named = case.ready.book.whole(key)
    if case.setting.export_limit < scaled_current(named, case.ready.nominal_mv):
        ma = whole_milliamps(case.setting.export_limit, case.ready.nominal_mv)
        yield Found(
            "tighter-limit",
            "export-limit",
            "inform",
            {"limit_ma": ma, "named_ma": named},
            keys=(key,),
            read=_read_limit(case, "export"),
            margin=named - ma,
            margin_unit="mA",
        )


def export_above_agreed(case: Case) -> Iterator[Found]:
    """The export figure is above the agreed export capacity of the supply."""
    agreed = case.site.supply.export_capacity_va
    if not isinstance(agreed, int):
        return
    figure = export_figure(case.site, case.setting, case.sums).total
    over = figure - agreed * SCALE_PER_W
    if over > 0:
        yield Found(
            "export-above-agreed",
            "supply",
            "stops",
            {"export_w": whole_watts(figure), "agreed_va": agreed},
            read=(
                ("supply.export_capacity_va", agreed),
                *_read_limit(case, "export"),
                *read_units(case, *CAPACITY),
            ),
            margin=-over // SCALE_PER_W,
            margin_unit="W",
        )


def above_cap(case: Case) -> Iterator[Found]:
    """The export figure or the installed capacity is above what the operator has answered."""
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
            yield Found(
                "cap-ended",
                f"caps[{i}]",
                "inform",
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
        value = cap.value
        if cap.basis == "ma_per_phase" and now is not None and now < case.site.supply.phases:
            # Amps were said of the phases that are there; more phases let no more through in all.
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
            if cap.split_equally is True:
                # Each phase may carry its share: the fullest one times their number is what counts.
                amount = max(amount, max(phases.values()) * len(phases))
            over = amount - cap.value * SCALE_PER_W
            shown = whole_watts(amount)
            unit, step = "W" if cap.basis == "w_total" else "VA", SCALE_PER_W
        if over > 0:
            yield Found(
                "export-above-cap" if export else "installed-above-cap",
                f"caps[{i}]",
                "stops",
                {
                    "amount": shown,
                    "cap": value,
                    "unit": unit,
                    "reference": known(cap.from_operator_reference) or "",
                    "shares": len(phases) if cap.split_equally is True else 1,
                    **of_supply_now,
                },
                read=(*read, *_read_limit(case, "export")) if export else read,
                margin=-over // step,  # rounded away from the limit, so never shown as nothing
                margin_unit=unit,
            )


def cap_split(case: Case) -> Iterator[Found]:
    """A cap on the total of several phases, of which it isn't said how they share it."""
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
        yield Found(
            "cap-split-not-known",
            f"caps[{i}]",
            "decide",
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
