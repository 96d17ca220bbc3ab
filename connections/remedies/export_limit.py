"""The export limit that would help: a fully type-tested limitation scheme at the largest value.

A limit never lowers the aggregate. It reaches the small-installation routes that name an export
limit, and it answers an agreed or capped export.
"""

from collections.abc import Iterator

from msgspec import UNSET, structs

from connections.facts.decision import Change, Remedy
from connections.facts.defaults import known
from connections.facts.site import Limit, LimitBasis, Limits, Site
from connections.remedies.proof import Proof, cleared_in_words, prove
from connections.rulebook.book import Rulebook
from connections.rules.decide import Decided
from connections.rules.figures import amps, in_unit

_HOW = {
    "ma_per_phase": " a phase",
    "w_total": " in all, held on every phase by its share",
    "va_total": " in all, held on every phase by its share",
    "alone": "",
}
_ROUTES = ("sgi-3.export_limit", "sgi-2.export_limit")


def export_limits(site: Site, decided: Decided, book: Rulebook) -> Iterator[Remedy]:
    """The largest export limit for each procedure that one reaches, and for each stop it clears."""
    told: list[Proof] = []
    for value, basis in _candidates(site, book):
        proof = prove(decided, _with_limit(site, value, basis), book)
        if proof is None or any(_says_no_more(proof, earlier) for earlier in told):
            continue
        told.append(proof)
        yield _remedy(site, value, basis, proof, book)


def _says_no_more(proof: Proof, told: Proof) -> bool:
    """Whether a limit reaches no other procedure and clears no more than one already told."""
    return proof.decided.procedure == told.decided.procedure and set(proof.clears) <= set(
        told.clears
    )


def _candidates(site: Site, book: Rulebook) -> list[tuple[int, LimitBasis]]:
    """Limits worth asking about: what the operator wrote, in its unit, then the routes' own."""
    answered: list[tuple[int, LimitBasis]] = [
        (cap.value, cap.basis) for cap in site.caps if cap.on == "export"
    ]
    if isinstance(site.supply.export_capacity_va, int):
        answered.append((site.supply.export_capacity_va, "va_total"))
    routes: list[tuple[int, LimitBasis]] = [
        (book.whole(key), "ma_per_phase") for key in _ROUTES if key in book.values
    ]
    return [*sorted(set(answered), key=lambda entry: (entry[1], -entry[0])), *routes]


def _with_limit(site: Site, value: int, basis: LimitBasis) -> Site:
    limit = Limit(
        value=value,
        basis=basis,
        type_tested=True,
        nets_phases=False if basis != "ma_per_phase" else UNSET,
    )
    limits = known(site.limits) or Limits()
    return structs.replace(site, limits=structs.replace(limits, export=limit))


def _remedy(site: Site, value: int, basis: LimitBasis, proof: Proof, book: Rulebook) -> Remedy:
    unit = {"ma_per_phase": "mA", "w_total": "W", "va_total": "VA"}[basis]
    per_phase = _HOW[basis if site.supply.phases > 1 or basis == "ma_per_phase" else "alone"]
    title = next(o.title for o in book.outcomes if o.key == proof.decided.procedure)
    case = proof.decided.case
    fullest = max(bounds[1] for bounds in case.sums.phases.values())
    margin = None
    row = case.ready.rows[case.evaluation.row or 0]
    limits = [
        test.limit
        for test in row.tests
        if test.fact == "largest_phase_sum" and isinstance(test.limit, int)
    ]
    if limits:
        # Rounded towards the limit, so that it never flatters.
        margin = max(0, min(limits) - fullest) // (6 * case.ready.nominal_mv)
    clears = cleared_in_words(proof.clears)
    left = f" The sums leave {amps(margin)} a phase." if margin is not None else ""
    return Remedy(
        kind="export-limit",
        sentence=(
            f"A fully type-tested limitation scheme holding export to {in_unit(value, unit)}"
            f"{per_phase} leads to: {title}.{clears}{left} The aggregate stays as it is; what the "
            "sun makes above the limit must be used or stored on site, or is lost."
        ),
        change=(
            Change("limits.export.value", value),
            Change("limits.export.basis", basis),
            Change("limits.export.type_tested", True),
            *((Change("limits.export.nets_phases", False),) if basis != "ma_per_phase" else ()),
        ),
        takes_out=(),
        procedure=proof.decided.procedure,
        clears=proof.clears,
        margin=margin,
        margin_unit="mA" if margin is not None else "",
    )
