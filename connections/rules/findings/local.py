"""What an operator or the firm has entered for a place: caps on export, and extra conditions."""

from collections.abc import Container, Iterable, Iterator

from connections.electrical.phase_sums import whole_milliamps, whole_watts
from connections.facts.decision import Severity
from connections.rulebook.book import Certainty, ExportCap
from connections.rules.case import Case, Found, Read, read_outcome, read_units
from connections.rules.deciding_facts import limit_of
from connections.rules.export import ExportFigure, export_figure
from connections.rules.findings.capacity import CAPACITY
from connections.rules.places import ReadyCap, place_of
from connections.rules.table import holds

# A cap that nobody has in writing stops nothing by itself: an engineer settles it.
SURE: frozenset[Certainty] = frozenset({"local", "published", "secondary"})
_LIMIT = ("value", "basis", "type_tested", "nets_phases")


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
        severity: Severity = "stops" if cap.certainty in SURE else "decide"
        yield Found(
            "local-export-cap",
            f"export cap {cap.id}",
            severity,
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
            read=(
                *_read_place(where, feeder, sector),
                *_read_limit(case),
                *read_units(case, *CAPACITY),
            ),
            margin=-over // each.step,  # rounded away from the limit, so never shown as nothing
            margin_unit=cap.unit,
            against=((f"export cap {cap.id}", [cap.amount, cap.unit, cap.per]),),
            sources=(str(cap.source),),
        )


def cap_place_not_known(case: Case) -> Iterator[Found]:
    """Caps that the export figure is above, of places that the site may be at."""
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
    yield Found(
        "cap-place-not-known",
        "premises",
        "inform",
        {"feeder": bool(by_feeder), "sector": bool(by_sector), "caps": len(caps)},
        read=(
            *((("premises.feeder", None),) if by_feeder else ()),
            *((("premises.postcode", None),) if by_sector else ()),
            *_read_limit(case),
            *read_units(case, *CAPACITY),
        ),
        sources=tuple(sorted({str(cap.source) for cap in caps.values()})),
    )


def local_condition(case: Case) -> Iterator[Found]:
    """An extra condition that holds for the site, or may.

    One that can't be told yet stops nothing: the missing facts, which are asked for anyway, will
    tell.
    """
    for extra, tests in case.ready.extras:
        results = [holds(test, case.facts[test.fact]) for test in tests]
        if False in results:
            continue
        is_open = None in results
        keys = (key for test in tests for key in (test.condition.against, test.condition.reading))
        yield Found(
            "local-condition",
            f"condition {extra.id}",
            "decide" if is_open and extra.severity == "stops" else extra.severity,
            {
                "says": extra.says,
                "asks": extra.asks,
                "attachments": list(extra.attachments),
                "open": is_open,
                "certainty": extra.certainty,
                "layer": extra.layer,
            },
            keys=tuple(dict.fromkeys(key for key in keys if key)),
            read=read_outcome(case) if tests else (),
            against=((f"condition {extra.id}", [extra.says, extra.asks]),),
            sources=(str(extra.source),),
        )


def _amount(each: ReadyCap, figure: ExportFigure) -> int:
    """What a cap is held against: the fullest phase, or all of them together [scaled]."""
    return max(figure.phases.values()) if each.cap.per == "phase" else figure.total


def _below(
    caps: Iterable[ReadyCap], figure: ExportFigure, there: Container[str]
) -> tuple[ReadyCap, ...]:
    """The caps below the export figure, without those that hold for the site anyway."""
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
    # feeders and none of postcode sectors.
    # Of a postcode only the sector is read, so that the basis tells no more of the address.
    return (("premises.postcode", sector),) if where == "sector" else ()


def _read_limit(case: Case) -> tuple[Read, ...]:
    limit = limit_of(case.site, "export")
    if limit is None:
        return (("limits.export", None),)
    return tuple((f"limits.export.{name}", getattr(limit, name)) for name in _LIMIT)


QUESTIONS = (local_export_cap, cap_place_not_known, local_condition)
