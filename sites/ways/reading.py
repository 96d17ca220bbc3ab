"""The ways to go as a page tells them: a column for each, with its answers in words."""

from msgspec import Struct

from connections.facts.site import Premises, Site, Supply
from connections.prices.price_list import PriceList
from connections.remedies.designs import DesignFacts, RouteName
from connections.rulebook.book import Rulebook
from connections.rules.figures import amps, kilowatts, listed
from connections.ways.asked import Asked
from connections.ways.looking import CAPS_W, Seen, UnderCap, look, sweep
from connections.ways.making import ways_of
from sites.deciding.reading.deciding import assessor
from sites.designs.words.customer_boxes import in_power_cut, plain_boxes
from sites.designs.words.customer_stops import stopped_words
from sites.energy.words.rows import ranges_of
from sites.premises.reading.site_rows import today
from sites.prices.reading import design_cost, price_list
from sites.prices.words import cost_words

LIMIT_NOTE = "An export limit never lowers what the network sees; it only limits what leaves."

_PATHS: tuple[tuple[RouteName, str], ...] = (
    ("sun-to-house", "sun to house"),
    ("sun-to-cells-to-house", "sun to battery to house"),
    ("grid-to-cells-to-house", "network to battery to house"),
)


class PhaseSum(Struct, frozen=True):
    """The sum of one phase: in words, and as a bar of 240 units with its limits."""

    words: str
    filled: int
    marks: tuple[int, ...]
    said: str


class Told(Struct, frozen=True):
    """A question, and what a way answers, line by line."""

    question: str
    lines: tuple[str, ...]


class WayTold(Struct, frozen=True):
    """One way: key, name, phase sums, procedure and the other answers; `stops` in sentences.

    The first `open` answers are not folded.
    """

    key: str
    name: str
    sums: tuple[PhaseSum, ...]
    procedure: str
    wait: str
    stops: tuple[str, ...]
    told: tuple[Told, ...]
    note: str = ""
    open: int = 1


class CapRow(Struct, frozen=True):
    """One cap of a sweep, and what each way answers."""

    cap: str
    answers: tuple[str, ...]


class QuickLook(Struct, frozen=True):
    """All ways that apply, those left out with their reasons, and caps of export and capacity."""

    ways: tuple[WayTold, ...]
    left_out: tuple[str, ...]
    export_caps: tuple[CapRow, ...]
    capacity_caps: tuple[CapRow, ...]


def rulebook_for(asked: Asked) -> Rulebook:
    """The rulebook of the area and the day, with the firm's own entries; at most two queries."""
    return assessor().rulebook(_empty(asked))


def quick_look(asked: Asked, *, caps: bool = False) -> QuickLook:
    """Decide every way and tell it, with a sweep of `caps` if asked for; nothing is kept."""
    book = rulebook_for(asked)
    prices = price_list()
    seen = look(asked, book, today())
    applying = [each for each in seen if each.facts is not None and each.way.site is not None]
    most = max((_fullest(each.facts) for each in applying if each.facts), default=0)
    limits = _limits(book)
    scale = max(most, *limits) * 21 // 20 or 1
    return QuickLook(
        ways=tuple(
            _told(each, each.facts, each.way.site, asked, limits, scale, prices)
            for each in applying
            if each.facts is not None and each.way.site is not None
        ),
        left_out=tuple(
            f"{each.way.name}: {each.way.left_out}" for each in seen if each.way.site is None
        ),
        export_caps=_caps(applying, "export", book) if caps else (),
        capacity_caps=_caps(applying, "installed", book) if caps else (),
    )


def ways_to_keep(asked: Asked) -> dict[str, tuple[str, Site]]:
    """Name and site of each way that applies, by its key."""
    return {
        way.key: (way.name, way.site)
        for way in ways_of(asked, rulebook_for(asked), today())
        if way.site is not None
    }


def _empty(asked: Asked) -> Site:
    """A site of the area, for its rulebook."""
    return Site(
        format="site/1",
        reference="",
        on_date=today(),
        supply=Supply(phases=asked.phases),
        units=(),
        premises=Premises(licence_area=asked.area or None),
    )


def _limits(book: Rulebook) -> tuple[int, ...]:
    """The limits of the table for the sum of a phase [mA], lowest first."""
    keys = {
        condition.against
        for row in book.table
        for condition in row.when
        if condition.fact == "largest_phase_sum" and book.values[condition.against].unit == "mA"
    }
    return tuple(sorted({book.whole(key) for key in keys}))


def _fullest(facts: DesignFacts) -> int:
    return max((ma or 0 for ma in facts.per_phase_ma.values()), default=0)


def _told(
    seen: Seen,
    facts: DesignFacts,
    site: Site,
    asked: Asked,
    limits: tuple[int, ...],
    scale: int,
    prices: PriceList,
) -> WayTold:
    cost = design_cost(site, seen.decided, None, prices)
    told = [
        Told("Most power at once", _power(facts)),
        *((Told("Cost by the price list", cost_words(cost)),) if cost is not None else ()),
        Told("If one unit fails", _failing(site)),
        Told("If the network fails", (in_power_cut(site, facts.backup_wh),)),
        Told("DC from the roof", (_dc(facts),)),
        Told("What arrives of 100 kWh", _arrives(facts)),
        Told("Room before the next limit", (_room(seen),)),
    ]
    if seen.capped is not None:
        on = "export" if seen.capped.on == "export" else "capacity"
        told.append(
            Told(f"With {on} capped at {kilowatts(asked.cap_w)}", (cap_words(seen.capped),))
        )
    return WayTold(
        key=seen.way.key,
        name=seen.way.name,
        sums=tuple(_sum(phase, ma, limits, scale) for phase, ma in facts.per_phase_ma.items()),
        procedure=facts.title,
        wait=facts.time,
        stops=stopped_words(
            found
            for found in (seen.decided.findings if seen.decided else ())
            if found.severity == "stops"
        ),
        told=tuple(told),
        note=LIMIT_NOTE if seen.way.key == "limited" else "",
        open=1 if cost is None else 2,
    )


def _sum(phase: str, ma: int | None, limits: tuple[int, ...], scale: int) -> PhaseSum:
    said = "; ".join(f"limit {amps(limit)}" for limit in limits)
    return PhaseSum(
        f"{amps(ma)} on {phase}",
        (ma or 0) * 240 // scale,
        tuple(limit * 240 // scale for limit in limits),
        f"{amps(ma)} on {phase}; {said}",
    )


def _power(facts: DesignFacts) -> tuple[str, ...]:
    shared = any(route.coupling == "dc" for route in facts.routes)
    both = bool(facts.sun_w and facts.cells_w)
    why = (
        ", one inverter is the limit"
        if shared and both
        else ", sun and battery add"
        if both
        else ""
    )
    lines = [f"{kilowatts(facts.power_w)}{why}"]
    if facts.export_w is not None and facts.power_w is not None and facts.export_w < facts.power_w:
        lines.append(f"at most {kilowatts(facts.export_w)} of it leaves the house")
    return tuple(lines)


def _failing(site: Site) -> tuple[str, ...]:
    left: dict[str, list[str]] = {}
    for box in plain_boxes(site):
        left.setdefault(box.without, []).append(box.fails)
    return tuple(f"without {listed(fails, 'or')}: {rest}" for rest, fails in left.items())


def _dc(facts: DesignFacts) -> str:
    if facts.dc_runs.startswith("Yes"):
        return "yes, live in daylight"
    if facts.dc_runs.startswith("No:"):
        return "no: micro-inverters turn it to AC at the panels"
    return "no panels"


def _arrives(facts: DesignFacts) -> tuple[str, ...]:
    lines = []
    for name, words in _PATHS:
        for each in ranges_of(facts, name):
            count = each.route.steps
            lines.append(
                f"{words}: {each.route.share * 100:.0f} kWh "
                f"({each.least * 100:.0f} to {each.most * 100:.0f}), "
                f"{count} conversion{'s' if count > 1 else ''}"
            )
    return tuple(lines)


def _room(seen: Seen) -> str:
    room = seen.room
    if room is None:
        return "cannot tell"
    if room.more_w is None:
        return "no further limit"
    then = f", then: {room.then}" if room.then else ""
    return f"{kilowatts(room.more_w)} more{then}"


def cap_words(capped: UnderCap) -> str:
    """What a way does under a cap, in words."""
    if capped.answer == "fits":
        return "as it is"
    if capped.answer == "limit":
        return f"with an export limit of {kilowatts(capped.cap_w)}"
    if capped.on == "export":
        return "no"
    return f"no: {kilowatts(capped.over_w)} too much"


def _caps(seen: list[Seen], on: str, book: Rulebook) -> tuple[CapRow, ...]:
    swept = [
        sweep(each.way.site, "export" if on == "export" else "installed", book)
        for each in seen
        if each.way.site is not None
    ]
    return tuple(
        CapRow(kilowatts(cap_w), tuple(cap_words(column[place]) for column in swept))
        for place, cap_w in enumerate(CAPS_W)
        if not (on == "installed" and cap_w == 0)
    )
