"""Local rules for a place from an operator or the firm: caps on export, and extra conditions."""

from collections.abc import Container, Iterable, Iterator

from connections.electrical.phase_sums import whole_milliamps, whole_watts
from connections.rulebook.book import Certainty, ExportCap
from connections.rules.case import Case, read_outcome, read_units
from connections.rules.deciding_facts import limit_of
from connections.rules.export import ExportFigure, export_figure
from connections.rules.figures import in_unit, listed
from connections.rules.findings.capacity import CAPACITY
from connections.rules.kinds import Found, Kind, Read, Values, Words
from connections.rules.places import ReadyCap, place_of
from connections.rules.table import holds

# A cap that is not in writing never stops a site: an engineer decides.
SURE: frozenset[Certainty] = frozenset({"local", "published", "secondary"})
_LIMIT = ("value", "basis", "type_tested", "nets_phases")


def _local_export_cap_words(v: Values) -> Words:
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


LOCAL_EXPORT_CAP = Kind(
    "local-export-cap",
    "stops",
    "Is the export figure above a cap of the site's feeder or postcode sector?",
    _local_export_cap_words,
    also={"decide": "where the cap is common practice or from memory"},
)


def local_export_cap(case: Case) -> Iterator[Found]:
    """The export figure is above a cap for the site's feeder or postcode sector."""
    if case.ready.caps is None:
        return
    feeder, sector = place_of(case.site)
    figure = export_figure(case.site, case.setting, case.sums)
    for where, each in case.ready.caps.at(feeder, sector):
        cap, amount = each.cap, _amount(each, figure)
        over = amount - each.limit
        # 2026-11-25: a value equal to the cap passes; VA is compared with W.
        if over <= 0:
            continue
        yield LOCAL_EXPORT_CAP.found(
            f"export cap {cap.id}",
            {
                "export": _in_unit(case, cap, amount),
                "cap": cap.amount,
                "unit": cap.unit,
                "per": cap.per,
                "where": where,
                "says": cap.says,
                "certainty": cap.certainty,
                "layer": cap.layer,
            },
            severity="stops" if cap.certainty in SURE else "decide",
            read=(
                *_read_place(where, feeder, sector),
                *_read_limit(case),
                *read_units(case, *CAPACITY),
            ),
            margin=-over // each.step,  # rounded away from the limit, so never 0
            margin_unit=cap.unit,
            against=((f"export cap {cap.id}", [cap.amount, cap.unit, cap.per]),),
            sources=(str(cap.source),),
        )


def _cap_place_not_known_words(v: Values) -> Words:
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


CAP_PLACE_NOT_KNOWN = Kind(
    "cap-place-not-known",
    "inform",
    "May a cap below the export figure be of this place, which is not known?",
    _cap_place_not_known_words,
)


def cap_place_not_known(case: Case) -> Iterator[Found]:
    """Caps below the export figure, for places where the site may be."""
    if case.ready.caps is None:
        return
    feeder, sector = place_of(case.site)
    figure = export_figure(case.site, case.setting, case.sums)
    there = {each.cap.id for _, each in case.ready.caps.at(feeder, sector)}
    by_feeder = () if feeder else _below(case.ready.caps.of_feeders, figure, there)
    by_sector = () if sector else _below(case.ready.caps.of_sectors, figure, there)
    # 2026-11-25: inform only. A stop would stop every site of an area with one capped feeder.
    caps = {each.cap.id: each.cap for each in (*by_feeder, *by_sector)}
    if not caps:
        return
    yield CAP_PLACE_NOT_KNOWN.found(
        "premises",
        {"feeder": bool(by_feeder), "sector": bool(by_sector), "caps": len(caps)},
        read=(
            *((("premises.feeder", None),) if by_feeder else ()),
            *((("premises.postcode", None),) if by_sector else ()),
            *_read_limit(case),
            *read_units(case, *CAPACITY),
        ),
        sources=tuple(sorted({str(cap.source) for cap in caps.values()})),
    )


def _local_condition_words(v: Values) -> Words:
    with_it = f" Send with it: {listed(v['attachments'])}." if v["attachments"] else ""
    may = "It can't be told yet whether this is asked here: " if v["open"] else ""
    return (
        f"{may}{v['says']} {v['asks']}{with_it}",
        "Some facts that its conditions ask about are not known."
        if v["open"]
        else "Every one of its conditions holds for this site.",
    )


LOCAL_CONDITION = Kind(
    "local-condition",
    "decide",
    "Does an extra condition hold for the site, or may it?",
    _local_condition_words,
    also={"stops": "where its entry says so", "inform": "where its entry says so"},
)


def local_condition(case: Case) -> Iterator[Found]:
    """An extra condition that holds for the site, or may hold.

    An undecided one stops nothing: other findings already ask for the missing facts.
    """
    for extra, tests in case.ready.extras:
        results = [holds(test, case.facts[test.fact]) for test in tests]
        if False in results:
            continue
        is_open = None in results
        keys = (key for test in tests for key in (test.condition.against, test.condition.reading))
        yield LOCAL_CONDITION.found(
            f"condition {extra.id}",
            {
                "says": extra.says,
                "asks": extra.asks,
                "attachments": list(extra.attachments),
                "open": is_open,
                "certainty": extra.certainty,
                "layer": extra.layer,
            },
            severity="decide" if is_open and extra.severity == "stops" else extra.severity,
            keys=tuple(dict.fromkeys(key for key in keys if key)),
            read=read_outcome(case) if tests else (),
            against=((f"condition {extra.id}", [extra.says, extra.asks]),),
            sources=(str(extra.source),),
        )


def _amount(each: ReadyCap, figure: ExportFigure) -> int:
    """The amount to compare with a cap: the fullest phase, or the total [scaled]."""
    return max(figure.phases.values()) if each.cap.per == "phase" else figure.total


def _below(
    caps: Iterable[ReadyCap], figure: ExportFigure, there: Container[str]
) -> tuple[ReadyCap, ...]:
    """The caps below the export figure, except those that certainly apply to the site."""
    phase, total = max(figure.phases.values()), figure.total
    return tuple(
        each
        for each in caps
        if each.limit < (phase if each.cap.per == "phase" else total) and each.cap.id not in there
    )


def _in_unit(case: Case, cap: ExportCap, amount: int) -> int:
    if cap.unit == "mA":
        return whole_milliamps(amount, case.ready.nominal_mv)
    return whole_watts(amount)


def _read_place(where: str, feeder: str, sector: str) -> tuple[Read, ...]:
    if where == "feeder":
        return (("premises.feeder", feeder),)
    # 2026-11-25: the technical part of a pack has no postcode, so re-checking a pack sees caps of
    # feeders but not of postcode sectors. Read only the sector of a postcode, so that the basis
    # tells no more of the address.
    return (("premises.postcode", sector),) if where == "sector" else ()


def _read_limit(case: Case) -> tuple[Read, ...]:
    limit = limit_of(case.site, "export")
    if limit is None:
        return (("limits.export", None),)
    return tuple((f"limits.export.{name}", getattr(limit, name)) for name in _LIMIT)


QUESTIONS = (local_export_cap, cap_place_not_known, local_condition)
