"""The one shared inverter that would help, in place of separate PV and storage inverters.

Separate inverters add; a shared one counts once, at its AC rating. For each procedure that one
shared inverter reaches, the largest rating up to the largest of those it replaces is found by
halving (a smaller rating never leads to a later procedure); so is the largest that keeps the
operator's caps on installed capacity. It is taken to be fully type tested.
"""

from collections.abc import Callable, Iterator

from msgspec import structs

from connections.electrical.phase_sums import SCALE_PER_W, scaled_current
from connections.facts.decision import Change, Remedy
from connections.facts.defaults import is_counted, part_status, quantity_of, registered_w
from connections.facts.site import Array, Phase, Site, Storage, Unit
from connections.remedies.proof import Proof, cleared_in_words, prove
from connections.rulebook.book import Rulebook
from connections.rules.decide import UNDETERMINED, Decided, decide, outcome_of
from connections.rules.figures import kilowatts, listed

_MICRO_W = 1000
"""Lines of several units up to this rating are taken for micro-inverters (common practice)."""


def shared_inverters(site: Site, decided: Decided, book: Rulebook) -> Iterator[Remedy]:
    """Largest shared inverter for each procedure that one reaches."""
    replaced = _replaced(site)
    ratings = [(registered_w(unit), quantity_of(unit)) for _, unit in replaced]
    if not replaced or any(w is None or n is None for w, n in ratings):
        return
    pv = sum(
        (registered_w(u) or 0) * (quantity_of(u) or 0) for _, u in replaced if u.source == "pv"
    )
    cells = sum(
        (registered_w(u) or 0) * (quantity_of(u) or 0) for _, u in replaced if u.source != "pv"
    )
    largest = max(pv, cells)
    order = decided.case.ready.order
    ratings_to_ask = [largest]
    while ratings_to_ask[-1] > 0:
        upper = ratings_to_ask[-1]
        outcome = outcome_of(_with_shared(site, replaced, upper, book), book)
        ratings_to_ask.append(_largest_below(site, replaced, book, upper, outcome, order))
    if any(cap.on == "installed" for cap in site.caps):
        ratings_to_ask.append(_largest_within_caps(site, replaced, book, largest))
    for rating in sorted(set(ratings_to_ask) - {0}, reverse=True):
        proof = prove(decided, _with_shared(site, replaced, rating, book), book)
        if proof is not None:
            yield _remedy(site, replaced, rating, proof, book)


def _largest_below(
    site: Site,
    replaced: list[tuple[int, Unit]],
    book: Rulebook,
    upper: int,
    outcome: str,
    order: dict[str, int],
) -> int:
    """The largest rating [W] whose procedure comes before `outcome`; 0 if none does."""
    if outcome == UNDETERMINED:
        return 0

    def earlier(rating: int) -> bool:
        found = outcome_of(_with_shared(site, replaced, rating, book), book)
        return found != UNDETERMINED and order[found] < order[outcome]

    return _largest(earlier, upper)


def _largest_within_caps(
    site: Site, replaced: list[tuple[int, Unit]], book: Rulebook, upper: int
) -> int:
    """The largest rating [W] up to `upper` that keeps the operator's caps on installed capacity."""

    def within(rating: int) -> bool:
        stops = decide(_with_shared(site, replaced, rating, book), book).stops
        return all(name != "installed-above-cap" for name, _ in stops)

    return upper if within(upper) else _largest(within, upper)


def _largest(passes: Callable[[int], bool], above: int) -> int:
    """The largest rating [W] below `above` that passes, by halving; 0 if none does.

    What passes at a rating passes at every smaller one, and `above` does not pass.
    """
    if not passes(1):
        return 0
    low, high = 1, above
    while high - low > 1:
        middle = (low + high) // 2
        if passes(middle):
            low = middle
        else:
            high = middle
    return low


def _replaced(site: Site) -> list[tuple[int, Unit]]:
    """Counted PV units and storage units with inverters of their own; empty without both."""
    behind = {cells.unit_id for cells in site.storage if cells.status != "removed"}
    units = [(i, unit) for i, unit in enumerate(site.units) if is_counted(unit)]
    pv = [(i, u) for i, u in units if u.source == "pv" and u.id not in behind]
    storage = [(i, u) for i, u in units if u.source == "storage"]
    return [*pv, *storage] if pv and storage else []


def _phases(replaced: list[tuple[int, Unit]]) -> tuple[Phase, ...]:
    """The phases of the shared inverter: those of the widest unit it replaces."""
    return max((unit.phases for _, unit in replaced), key=len)


def _new_id(site: Site) -> str:
    taken = {unit.id for unit in site.units}
    return next(name for n in range(1, len(taken) + 2) if (name := f"shared-{n}") not in taken)


def _with_shared(
    site: Site, replaced: list[tuple[int, Unit]], rated_w: int, book: Rulebook
) -> Site:
    phases = _phases(replaced)
    limit = scaled_current(book.whole("g98.unit_limit"), book.whole("voltage.nominal"))
    micro = rated_w * SCALE_PER_W // len(phases) <= limit
    new = _new_id(site)
    out = {i for i, _ in replaced}
    names = {unit.id for _, unit in replaced}
    units = [
        structs.replace(unit, status="removed") if i in out else unit
        for i, unit in enumerate(site.units)
    ]
    shared = Unit(
        id=new,
        source="pv+storage",
        rated_w=rated_w,
        phases=phases,
        status="proposed",
        type_tested="full",
        standard="G98" if micro else "G99",
        type_test_reference="to be chosen",
    )
    by_id = {unit.id: unit for unit in site.units}
    return structs.replace(
        site,
        units=(*units, shared),
        arrays=tuple(
            structs.replace(a, unit_id=new, status=part_status(a.status, by_id.get(a.unit_id)))
            if _moves(a, names)
            else a
            for a in site.arrays
        ),
        storage=tuple(
            structs.replace(s, unit_id=new, status=part_status(s.status, by_id.get(s.unit_id)))
            if _moves(s, names)
            else s
            for s in site.storage
        ),
    )


def _moves(part: Array | Storage, names: set[str]) -> bool:
    """Whether panels or cells come behind the shared inverter: those that stay."""
    return part.unit_id in names and part.status != "removed"


def _moved(site: Site, changed: Site, names: set[str]) -> Iterator[Change]:
    """What changes about panels and cells; one that took its inverter's status keeps it."""
    groups: tuple[tuple[str, tuple[Array | Storage, ...], tuple[Array | Storage, ...]], ...] = (
        ("arrays", site.arrays, changed.arrays),
        ("storage", site.storage, changed.storage),
    )
    for name, before, after in groups:
        for i, part in enumerate(before):
            if _moves(part, names):
                yield Change(f"{name}[{i}].unit_id", after[i].unit_id)
                if part.status != after[i].status:
                    yield Change(f"{name}[{i}].status", after[i].status)


def _remedy(
    site: Site, replaced: list[tuple[int, Unit]], rated_w: int, proof: Proof, book: Rulebook
) -> Remedy:
    changed = proof.decided.case.site
    shared = changed.units[-1]
    title = next(o.title for o in book.outcomes if o.key == proof.decided.procedure)
    names = [unit.id for _, unit in replaced]
    before = sum((registered_w(u) or 0) * (quantity_of(u) or 0) for _, u in replaced)
    micro = [
        unit.id
        for _, unit in replaced
        if unit.source == "pv"
        and (quantity_of(unit) or 1) > 1
        and (registered_w(unit) or 0) <= _MICRO_W
    ]
    restrung = (
        f" The panels behind {listed(micro)} would be re-strung for direct current, since "
        "micro-inverters can't sit behind a shared inverter."
        if micro
        else ""
    )
    clears = cleared_in_words(proof.clears)
    return Remedy(
        kind="shared-inverter",
        sentence=(
            f"One shared inverter of {kilowatts(rated_w)} on {listed(shared.phases)}, fully type "
            f"tested, in place of {listed(names)} leads to: {title}.{clears}{restrung} Sun and "
            f"cells together then give at most {kilowatts(rated_w)} instead of "
            f"{kilowatts(before)}. To be designed and tested by a competent person."
        ),
        change=(
            *(Change(f"units[{i}].status", "removed") for i, _ in replaced),
            Change(f"units[{len(site.units)}]", shared),
            *_moved(site, changed, set(names)),
        ),
        takes_out=tuple(names),
        procedure=proof.decided.procedure,
        clears=proof.clears,
        margin=None,
        margin_unit="",
    )
