"""The supply, its number and area, and the neighbours."""

from collections.abc import Iterator

from msgspec import UNSET

from connections.facts.decision import Severity
from connections.facts.defaults import known, nearby_premises, phases_now
from connections.facts.site import Premises
from connections.facts.supply_number import read_core
from connections.rulebook.book import Rulebook
from connections.rules.case import Case, read_outcome
from connections.rules.figures import volts
from connections.rules.kinds import Found, Kind, Values, Words
from connections.rules.operator_notes import stated

LOOPED = "operator.looped_service"
_LOOPED_SEVERITY: dict[str, Severity] = {
    "ask": "decide",
    "accepted": "inform",
    "refused": "stops",
}


def _looped_service_words(v: Values) -> Words:
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


LOOPED_SERVICE = Kind(
    "looped-service",
    "decide",
    "Does the service share its cable with a neighbour?",
    _looped_service_words,
    also={"stops": "where the operator refuses it", "inform": "where the operator accepts it"},
)


def looped(case: Case) -> Iterator[Found]:
    """A service that is looped, or may be."""
    value = known(case.site.supply.looped)
    if value is False:
        return
    if value is True:
        rule = stated(case.ready.book, LOOPED)
        taken = str(rule.amount) if rule is not None else "ask"
        yield LOOPED_SERVICE.found(
            "supply",
            {"rule": taken, "stated": rule is not None},
            severity=_LOOPED_SEVERITY[taken],
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


MISSING_FACT = Kind(
    "missing-fact",
    "inform",
    "Is a fact not known that the reader wants and no procedure needs?",
    lambda v: (
        f"Not known: {v['fact']}.",
        "It does not change the procedure, but the reader wants it.",
    ),
)


def _missing(name: str, words: str, value: object) -> Found:
    return MISSING_FACT.found(
        f"supply/{name}",
        {"fact": words},
        read=((f"supply.{name}", value),),
    )


LEVEL_NOT_KNOWN = Kind(
    "level-not-known",
    "decide",
    "Is the voltage level of the supply not known, and read as low?",
    lambda _: (
        "The voltage level of the supply is not known; read as low voltage.",
        "A high-voltage supply has procedures of its own.",
    ),
)


def level_not_known(case: Case) -> Iterator[Found]:
    """The voltage level is unknown and counts as low voltage."""
    if case.site.supply.voltage_level is None:
        yield LEVEL_NOT_KNOWN.found("supply", {}, read=(("supply.voltage_level", None),))


def _nominal_voltage_words(v: Values) -> Words:
    typed = "not known" if v["typed_v"] is None else f"{v['typed_v']} V"
    return (
        f"The nominal voltage is {typed}; procedure currents are still worked out at "
        f"{volts(v['nominal_mv'])}.",
        "Design currents use the supply's own voltage.",
    )


NOMINAL_VOLTAGE = Kind(
    "nominal-voltage",
    "inform",
    "Is the nominal voltage another than the rulebook's?",
    _nominal_voltage_words,
)


def nominal_voltage(case: Case) -> Iterator[Found]:
    """A nominal voltage other than that of procedure currents."""
    typed = case.site.supply.nominal_v
    if typed is UNSET or (isinstance(typed, int) and typed * 1000 == case.ready.nominal_mv):
        return
    yield NOMINAL_VOLTAGE.found(
        "supply",
        {"typed_v": typed, "nominal_mv": case.ready.nominal_mv},
        keys=("voltage.nominal",),
        read=(("supply.nominal_v", typed),),
    )


_OF_PHASES = {1: "one phase", 2: "two phases", 3: "three phases"}


def _supply_change_words(v: Values) -> Words:
    are = "is" if v["then"] == 1 else "are"
    return (
        f"The supply has {_OF_PHASES[v['now']]} now, and {_OF_PHASES[v['then']]} {are} proposed. "
        "The network operator is asked for such a supply first; it provides one at a price and in "
        "a time of its own.",
        "The procedure is that of the site with the new supply; none of its periods covers the "
        "supply itself.",
    )


SUPPLY_CHANGE = Kind(
    "supply-change",
    "decide",
    "Is another number of phases proposed than the supply has now?",
    _supply_change_words,
)


def supply_change(case: Case) -> Iterator[Found]:
    """The proposed supply has another number of phases than the present one."""
    now = phases_now(case.site)
    if now is None:
        return
    yield SUPPLY_CHANGE.found(
        "supply",
        {"now": now, "then": case.site.supply.phases},
        read=(("supply.phases", case.site.supply.phases), ("supply.now_phases", now)),
    )


VOLTAGE_OPTIMISER = Kind(
    "voltage-optimiser",
    "decide",
    "Does a voltage optimiser stand between the supply terminals and the generation?",
    lambda _: (
        "A voltage optimiser stands between the supply terminals and the generator.",
        "It may not; the generator must see the network's voltage.",
    ),
)


def optimiser(case: Case) -> Iterator[Found]:
    """A voltage optimiser between the supply terminals and the generator."""
    if known(case.site.supply.voltage_optimiser):
        yield VOLTAGE_OPTIMISER.found(
            "supply",
            {},
            read=(("supply.voltage_optimiser", True),),
        )


def _neighbours_words(v: Values) -> Words:
    held = v["metres"] is not None
    within = f"within {v['metres']} m and {v['days']} days" if held else "near by"
    proxy = f" This operator takes the {v['proxy']} in place of the distance." if v["proxy"] else ""
    if v["premises"] is None:
        return (
            "Whether the firm works at other premises near by is not known; read as if it does.",
            f"Within {v['metres']} m and {v['days']} days before or after.{proxy}"
            if held
            else "This rulebook holds no distance and no days for it.",
        )
    return (
        f"The firm commissions micro-generation at {v['premises']} other premises {within}.",
        (
            "The published text of the small-installation routes does not speak of several "
            "premises."
            if str(v["procedure"]).startswith("sgi")
            else "Several premises of one firm near each other are applied for first."
        )
        + proxy,
    )


NEIGHBOURS = Kind(
    "neighbours",
    "decide",
    "Does the firm work at other premises near by, or is that not known?",
    _neighbours_words,
)


_PROXY = "nearby.proxy"


def neighbours(case: Case) -> Iterator[Found]:
    """Other premises of the firm within the distance and the days."""
    if case.setting.nearby == 0:
        return
    values = case.ready.book.values
    held = "nearby.distance" in values and "nearby.days" in values
    yield NEIGHBOURS.found(
        "site",
        {
            "premises": nearby_premises(case.site),
            "metres": case.ready.book.whole("nearby.distance") if held else None,
            "days": case.ready.book.whole("nearby.days") if held else None,
            "procedure": case.outcome,
            "proxy": case.ready.book.text(_PROXY) if _PROXY in values else "",
        },
        keys=("nearby.distance", "nearby.days", *((_PROXY,) if _PROXY in values else ())),
        read=read_outcome(case),
    )


_SCHEMES = {
    "gb13": "a number of Great Britain (13 digits)",
    "ni11": "a number of Northern Ireland (11 digits)",
    "ie11": "a number of Ireland (11 digits)",
}


def _supply_number_scheme_words(v: Values) -> Words:
    given = _SCHEMES.get(v["scheme"], f'a number of the kind "{v["scheme"]}"')
    named = _SCHEMES.get(v["named"], f'one of the kind "{v["named"]}"')
    return (
        f"The supply number is {given}; premises under this rulebook have {named}. Check the "
        "nation and the number.",
        "The nation of the premises picks the rulebook; the number was not used.",
    )


SUPPLY_NUMBER_SCHEME = Kind(
    "supply-number-scheme",
    "decide",
    "Is the supply number of another kind than premises under this rulebook have?",
    _supply_number_scheme_words,
)

SUPPLY_NUMBER_PREFIX = Kind(
    "supply-number-prefix",
    "inform",
    "Does the supply number's prefix name no licence area?",
    lambda v: (
        f"The supply number's first two digits ({v['prefix']}) name no licence area in this "
        "rulebook; the number is kept.",
        f"Licence area used: {v['area'] or 'not known; please give it'}.",
    ),
)

INDEPENDENT_NETWORK = Kind(
    "independent-network",
    "inform",
    "Does the supply number's prefix name an independent network operator?",
    lambda v: (
        f"The supply number's first two digits ({v['prefix']}) name an independent network "
        "operator, which tells no region; the pack goes to that operator.",
        f"Licence area used: {v['area'] or 'not known; please give it'}.",
    ),
)

AREA_DIFFERS = Kind(
    "area-differs",
    "decide",
    "Is the licence area given another than the one that the supply number names?",
    lambda v: (
        f"The licence area given ({v['typed']}) is not the one that the supply number names "
        f"({v['found']}, {v['name']}).",
        f"The first two digits are {v['prefix']}. The area given was used.",
    ),
)

AREA_NOT_KNOWN = Kind(
    "area-not-known",
    "inform",
    "Is no licence area known?",
    lambda _: (
        "The licence area is not known; please give it.",
        "Local values of an area can't be applied without it.",
    ),
)


def area(case: Case) -> Iterator[Found]:
    """The licence area according to the supply number."""
    premises = case.site.premises
    book = case.ready.book
    numbers = premises.supply_numbers if isinstance(premises, Premises) else ()
    typed = known(premises.licence_area) if isinstance(premises, Premises) else None
    nation = known(premises.nation) if isinstance(premises, Premises) else None
    if not numbers:
        yield MISSING_FACT.found(
            "premises/supply_numbers",
            {"fact": "the supply number"},
            read=(("premises.supply_numbers", None),),
        )
    told = False
    named = book.values.get("supply_number.scheme")
    for i, number in enumerate(numbers):
        if named is not None and number.scheme != named.amount:
            yield SUPPLY_NUMBER_SCHEME.found(
                f"premises.supply_numbers[{i}].scheme",
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
            yield SUPPLY_NUMBER_PREFIX.found(
                path,
                {"prefix": prefix, "area": _area_used(book)},
                read=read,
            )
        elif found.independent:
            yield INDEPENDENT_NETWORK.found(
                path,
                {"prefix": prefix, "area": _area_used(book)},
                read=read,
            )
        elif typed and typed != found.id:
            yield AREA_DIFFERS.found(
                path,
                {"prefix": prefix, "typed": typed, "found": found.id, "name": found.name},
                read=read,
            )
    if not book.area and not told:
        yield AREA_NOT_KNOWN.found("premises", {}, read=(("premises.licence_area", typed),))


def _area_used(book: Rulebook) -> str:
    """Name and id of the area that the rulebook was resolved for; empty where it is none."""
    return next((f"{a.name} ({a.id})" for a in book.areas if a.id == book.area), "")


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
