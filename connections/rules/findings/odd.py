"""Facts that are possible and yet unlikely, or that speak against the work."""

import datetime as dt
from collections.abc import Iterator

from msgspec import Struct, UnsetType

from connections.facts import site as facts
from connections.facts.defaults import certificates_of, first_day, is_month, known, part_status
from connections.facts.naming import words_for
from connections.facts.plausible import is_odd_day, odd_panel_w, panel_band_w
from connections.facts.site import Site
from connections.rulebook.telling import dated
from connections.rules.case import Case
from connections.rules.figures import kilowatts, tenths
from connections.rules.kinds import Found, Kind

OWNER_REFUSES = Kind(
    "owner-refuses",
    "stops",
    "Does the owner of the premises not agree to the work?",
    lambda _: (
        "The owner of the premises does not agree to the work; settle that before anything is "
        "sent.",
        "Common practice, no source: the applicant answers for the owner's consent.",
    ),
    agreement=False,
)


def owner_refuses(case: Case) -> Iterator[Found]:
    """The owner's consent is refused, which differs from not being known."""
    parties = case.site.parties
    if isinstance(parties, Struct) and parties.owner_consent is False:
        yield OWNER_REFUSES.found("site", {}, read=(("parties.owner_consent", False),))


PANEL_UNLIKELY = Kind(
    "panel-unlikely",
    "decide",
    "Is the peak power of one panel far from what panels have?",
    lambda v: (
        f"The panels behind {v['unit']} come to {v['each']} W each; put their number or their "
        "peak power right.",
        f"{kilowatts(v['peak_w'], 'kWp')} / {v['panels']} = {v['each']} W. Usual is {v['low']} to "
        f"{v['high']} W: our choice, no source.",
    ),
)


def panel_unlikely(case: Case) -> Iterator[Found]:
    """Number and peak power of panels that together make no likely panel."""
    units = {unit.id: unit for unit in case.site.units}
    low, high = panel_band_w()
    for i, array in enumerate(case.site.arrays):
        each = odd_panel_w(array.peak_w, array.panels)
        if each is None or part_status(array.status, units.get(array.unit_id)) == "removed":
            continue
        yield PANEL_UNLIKELY.found(
            f"arrays[{i}]",
            {
                "unit": array.unit_id,
                "peak_w": known(array.peak_w),
                "panels": known(array.panels),
                "each": tenths(each),
                "low": low,
                "high": high,
            },
            read=((f"arrays[{i}].peak_w", array.peak_w), (f"arrays[{i}].panels", array.panels)),
        )


DATE_UNLIKELY = Kind(
    "date-unlikely",
    "decide",
    "Is a date so early or so late that its year is likely a slip?",
    lambda v: (
        f"Check {v['fact']}: {v['day']}.",
        f"Dates before {v['from']} and after {v['until']} are asked about: our choice, no source.",
    ),
)


def date_unlikely(case: Case) -> Iterator[Found]:
    """A date outside the years that its fact declares."""
    for path, kind, when in _dates(case.site):
        name = path.rpartition(".")[2]
        if is_odd_day(kind, name, when):
            day = first_day(when)
            assert day is not None, f"{path} is no date"
            yield DATE_UNLIKELY.found(
                path,
                {
                    "fact": words_for(path, case.site),
                    "day": f"{day:%B %Y}" if is_month(when) else dated(day.isoformat()),
                    "from": facts.YEARS[0],
                    "until": facts.YEARS[1],
                },
                read=((path, when),),
            )


_Dated = tuple[str, type[Struct], dt.date | str | None | UnsetType]


def _dates(site: Site) -> Iterator[_Dated]:
    """The dates of a site: path, the part that declares them, and the day or the month."""
    yield "on_date", Site, site.on_date
    yield "planned_on", Site, site.planned_on
    for i, unit in enumerate(site.units):
        yield f"units[{i}].commissioned_on", facts.Unit, unit.commissioned_on
        yield f"units[{i}].planned_on", facts.Unit, unit.planned_on
        for j, certificate in enumerate(certificates_of(unit)):
            path = f"units[{i}].standards[{j}].valid_until"
            yield path, facts.Certificate, certificate.valid_until
    for i, array in enumerate(site.arrays):
        yield f"arrays[{i}].commissioned_on", facts.Array, array.commissioned_on
    for i, cells in enumerate(site.storage):
        yield f"storage[{i}].commissioned_on", facts.Storage, cells.commissioned_on
    for which in ("export", "import"):
        limit = getattr(site.limits, "import_" if which == "import" else which, None)
        if isinstance(limit, facts.Limit):
            yield f"limits.{which}.commissioned_on", facts.Limit, limit.commissioned_on
    for i, cap in enumerate(site.caps):
        yield f"caps[{i}].until", facts.Cap, cap.until


QUESTIONS = (owner_refuses, panel_unlikely, date_unlikely)
