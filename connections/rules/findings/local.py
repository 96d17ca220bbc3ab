"""What an operator or the firm has entered for a place: caps on export, and extra conditions."""

from collections.abc import Iterator

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    scaled_current,
    scaled_power,
    whole_milliamps,
    whole_watts,
)
from connections.facts.decision import Severity
from connections.rulebook.book import Certainty, ExportCap
from connections.rules.case import Case, Found, Read, read_outcome, read_units
from connections.rules.deciding_facts import limit_of
from connections.rules.export import ExportFigure, export_figure
from connections.rules.findings.capacity import CAPACITY
from connections.rules.places import place_of, where_capped
from connections.rules.table import holds

# A cap that nobody has in writing stops nothing by itself: an engineer settles it.
SURE: frozenset[Certainty] = frozenset({"local", "published", "secondary"})
_LIMIT = ("value", "basis", "type_tested", "nets_phases")


def local_export_cap(case: Case) -> Iterator[Found]:
    """The export figure is above a cap for the site's feeder or postcode sector."""
    if not case.ready.book.caps:
        return
    feeder, sector = place_of(case.site)
    figure = export_figure(case.site, case.setting, case.sums)
    for cap in case.ready.book.caps:
        where = where_capped(cap, feeder, sector)
        if not where:
            continue
        shown, over, step = _over(case, cap, figure)
        if over <= 0:
            continue
        severity: Severity = "stops" if cap.certainty in SURE else "decide"
        yield Found(
            "local-export-cap",
            f"export cap {cap.id}",
            severity,
            {
                "export": shown,
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
            margin=-over // step,  # rounded away from the limit, so never shown as nothing
            margin_unit=cap.unit,
            against=((f"export cap {cap.id}", [cap.amount, cap.unit, cap.per]),),
            sources=(str(cap.source),),
        )


def cap_place_not_known(case: Case) -> Iterator[Found]:
    """Caps that the export figure is above, of places that the site may be at."""
    if not case.ready.book.caps:
        return
    feeder, sector = place_of(case.site)
    figure = export_figure(case.site, case.setting, case.sums)
    caps = [
        cap
        for cap in case.ready.book.caps
        if not where_capped(cap, feeder, sector)
        and ((cap.feeders and not feeder) or (cap.postcode_sectors and not sector))
        and _over(case, cap, figure)[1] > 0
    ]
    if not caps:
        return
    by_feeder = not feeder and any(cap.feeders for cap in caps)
    by_sector = not sector and any(cap.postcode_sectors for cap in caps)
    yield Found(
        "cap-place-not-known",
        "premises",
        "inform",
        {"feeder": by_feeder, "sector": by_sector, "caps": len(caps)},
        read=(
            *((("premises.feeder", None),) if by_feeder else ()),
            *((("premises.postcode", None),) if by_sector else ()),
            *_read_limit(case),
            *read_units(case, *CAPACITY),
        ),
        sources=tuple(dict.fromkeys(str(cap.source) for cap in caps)),
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


def _over(case: Case, cap: ExportCap, figure: ExportFigure) -> tuple[int, int, int]:
    """The export figure in the cap's unit, how far it is above the cap [scaled], and one unit."""
    amount = max(figure.phases.values()) if cap.per == "phase" else figure.total
    if cap.unit == "mA":
        nominal_mv = case.ready.nominal_mv
        over = amount - scaled_current(cap.amount, nominal_mv)
        return whole_milliamps(amount, nominal_mv), over, 6 * nominal_mv
    # Apparent power is never below the real power that the figure is in.
    return whole_watts(amount), amount - scaled_power(cap.amount), SCALE_PER_W


def _read_place(where: str, feeder: str, sector: str) -> tuple[Read, ...]:
    if where == "feeder":
        return (("premises.feeder", feeder),)
    # Of a postcode only the sector is read, so that the basis tells no more of the address.
    return (("premises.postcode", sector),) if where == "sector" else ()


def _read_limit(case: Case) -> tuple[Read, ...]:
    limit = limit_of(case.site, "export")
    if limit is None:
        return (("limits.export", None),)
    return tuple((f"limits.export.{name}", getattr(limit, name)) for name in _LIMIT)


QUESTIONS = (local_export_cap, cap_place_not_known, local_condition)
