"""The supply, its number and area, and the neighbours."""

from collections.abc import Iterator

from msgspec import UNSET

from connections.facts.decision import Severity
from connections.facts.defaults import known, nearby_premises, phases_now
from connections.facts.site import Premises
from connections.facts.supply_number import read_core
from connections.rules.case import Case, Found, read_outcome
from connections.rules.operator_notes import stated

LOOPED = "operator.looped_service"
_LOOPED_SEVERITY: dict[str, Severity] = {
    "ask": "decide",
    "accepted": "inform",
    "refused": "stops",
}


def looped(case: Case) -> Iterator[Found]:
    """A looped service, or one of which that is not known."""
    value = known(case.site.supply.looped)
    if value is False:
        return
    if value is True:
        rule = stated(case.ready.book, LOOPED)
        taken = str(rule.amount) if rule is not None else "ask"
        yield Found(
            "looped-service",
            "supply",
            _LOOPED_SEVERITY[taken],
            {"rule": taken, "stated": rule is not None},
            keys=(LOOPED,) if rule is not None else (),
            read=(("supply.looped", True),),
            against=((LOOPED, taken),) if rule is not None else (),
        )
    else:
        yield _missing("looped", "whether the service is looped", case.site.supply.looped)


def cutout(case: Case) -> Iterator[Found]:
    """The cut-out's rating is not known."""
    if not known(case.site.supply.cutout_a):
        yield _missing("cutout_a", "the rating of the cut-out", case.site.supply.cutout_a)


def earthing(case: Case) -> Iterator[Found]:
    """The earthing arrangement is not known."""
    if known(case.site.supply.earthing) in (None, "unknown"):
        yield _missing("earthing", "the earthing arrangement", case.site.supply.earthing)


def _missing(name: str, words: str, value: object) -> Found:
    return Found(
        "missing-fact",
        f"supply/{name}",
        "inform",
        {"fact": words},
        read=((f"supply.{name}", value),),
    )


def level_not_known(case: Case) -> Iterator[Found]:
    """The voltage level is given as unknown and is read as low voltage."""
    if case.site.supply.voltage_level is None:
        yield Found(
            "level-not-known", "supply", "decide", {}, read=(("supply.voltage_level", None),)
        )


def nominal_voltage(case: Case) -> Iterator[Found]:
    """Another nominal voltage than the one procedure currents are worked out at."""
    typed = case.site.supply.nominal_v
    if typed is UNSET or (isinstance(typed, int) and typed * 1000 == case.ready.nominal_mv):
        return
    yield Found(
        "nominal-voltage",
        "supply",
        "inform",
        {"typed_v": typed, "nominal_mv": case.ready.nominal_mv},
        keys=("voltage.nominal",),
        read=(("supply.nominal_v", typed),),
    )


def supply_change(case: Case) -> Iterator[Found]:
    """The supply that is proposed has another number of phases than the one that is there."""
    now = phases_now(case.site)
    if now is None:
        return
    yield Found(
        "supply-change",
        "supply",
        "decide",
        {"now": now, "then": case.site.supply.phases},
        read=(("supply.phases", case.site.supply.phases), ("supply.now_phases", now)),
    )


def optimiser(case: Case) -> Iterator[Found]:
    """A voltage optimiser between the supply terminals and the generator."""
    if known(case.site.supply.voltage_optimiser):
        yield Found(
            "voltage-optimiser",
            "supply",
            "decide",
            {},
            read=(("supply.voltage_optimiser", True),),
        )


def neighbours(case: Case) -> Iterator[Found]:
    """Other premises of the firm inside the distance and the days."""
    if case.setting.nearby == 0:
        return
    values = case.ready.book.values
    held = "nearby.distance" in values and "nearby.days" in values
    yield Found(
        "neighbours",
        "site",
        "decide",
        {
            "premises": nearby_premises(case.site),
            "metres": case.ready.book.whole("nearby.distance") if held else None,
            "days": case.ready.book.whole("nearby.days") if held else None,
            "procedure": case.outcome,
        },
        keys=("nearby.distance", "nearby.days"),
        read=read_outcome(case),
    )


def area(case: Case) -> Iterator[Found]:
    """What the supply number says of the licence area."""
    premises = case.site.premises
    book = case.ready.book
    numbers = premises.supply_numbers if isinstance(premises, Premises) else ()
    typed = known(premises.licence_area) if isinstance(premises, Premises) else None
    nation = known(premises.nation) if isinstance(premises, Premises) else None
    if not numbers:
        yield Found(
            "missing-fact",
            "premises/supply_numbers",
            "inform",
            {"fact": "the supply number"},
            read=(("premises.supply_numbers", None),),
        )
    told = False
    area_name = next((f"{a.name} ({a.id})" for a in book.areas if a.id == book.area), "")
    named = book.values.get("supply_number.scheme")
    for i, number in enumerate(numbers):
        if named is not None and number.scheme != named.amount:
            yield Found(
                "supply-number-scheme",
                f"premises.supply_numbers[{i}].scheme",
                "decide",
                {"scheme": number.scheme, "named": book.text("supply_number.scheme")},
                keys=("supply_number.scheme",),
                read=(
                    (f"premises.supply_numbers[{i}].scheme", number.scheme),
                    ("premises.nation", nation),
                ),
            )
            continue
        if number.scheme != "gb13":
            continue
        prefix = read_core(number.value, number.scheme).prefix
        found = book.area_by_prefix(prefix)
        path = f"premises.supply_numbers[{i}].value"
        read = ((path, number.value), ("premises.licence_area", typed))
        told = told or found is None or found.independent
        if found is None:
            yield Found(
                "supply-number-prefix",
                path,
                "inform",
                {"prefix": prefix, "area": area_name},
                read=read,
            )
        elif found.independent:
            yield Found(
                "independent-network",
                path,
                "inform",
                {"prefix": prefix, "area": area_name},
                read=read,
            )
        elif typed and typed != found.id:
            yield Found(
                "area-differs",
                path,
                "decide",
                {"prefix": prefix, "typed": typed, "found": found.id, "name": found.name},
                read=read,
            )
    if not book.area and not told:
        yield Found(
            "area-not-known", "premises", "inform", {}, read=(("premises.licence_area", typed),)
        )


QUESTIONS = (
    neighbours,
    looped,
    supply_change,
    optimiser,
    level_not_known,
    area,
    cutout,
    earthing,
    nominal_voltage,
)
