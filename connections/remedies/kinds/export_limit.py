"""Find the largest export limit that helps, by a fully type-tested limitation scheme.

A limit never lowers the aggregate. It opens the small-installation routes that name an export
limit, and it satisfies an agreed or capped export.
"""

from collections.abc import Iterator
from fractions import Fraction

from connections.facts.defaults import phases_now, supply_phases
from connections.facts.site import Cap, LimitBasis, Site
from connections.remedies.edit import Edit
from connections.remedies.option import Option, Start, option
from connections.rulebook.book import Rulebook
from connections.rules.figures import amps, in_unit
from connections.rules.places import caps_at

_ROUTES = (
    "sgi-3.export_limit",
    "sgi-2.export_limit",
    "integrated.export_limit",
    "export.phase_limit",
)
"""Keys of per-phase export limits that a rulebook may hold."""


def export_limits(start: Start) -> Iterator[Option]:
    """The largest export limit for each procedure it reaches, and for each stop it clears."""
    told: list[Option] = []
    for value, basis in export_candidates(start.site, start.rules.book):
        edit = Edit(start.site)
        edit.export_limit(value, basis)
        found = option(
            start,
            "export-limit",
            f"a fully type-tested limitation scheme holding export to "
            f"{limit_in_words(value, basis, start.site, start.rules.book)}",
            edit,
            name=named_limit(value, basis, start.site),
            notes=(
                "The aggregate stays as it is; what the sun makes above the limit must be used or "
                "stored on site, or is lost.",
            ),
        )
        if found is None or any(_says_no_more(found, earlier) for earlier in told):
            continue
        told.append(found)
        yield found


def _says_no_more(found: Option, told: Option) -> bool:
    """Whether a limit reaches no other procedure and clears nothing beyond one already found."""
    return found.proof.decided.procedure == told.proof.decided.procedure and set(
        found.proof.clears
    ) <= set(told.proof.clears)


def export_candidates(site: Site, book: Rulebook) -> list[tuple[int, LimitBasis]]:
    """Limits worth trying: the operator's caps in their unit, then the limits of the routes."""
    answered = [_of_cap(cap, site, book) for cap in site.caps if cap.on == "export"]
    for held in caps_at(site, book):
        if held.unit == "mA":
            answered.append((held.amount, "ma_per_phase"))
        elif held.per == "phase":
            answered.append((held.amount * 10**6 // book.whole("voltage.nominal"), "ma_per_phase"))
        else:
            answered.append((held.amount, "w_total" if held.unit == "W" else "va_total"))
    if isinstance(site.supply.export_capacity_va, int):
        answered.append((site.supply.export_capacity_va, "va_total"))
    routes: list[tuple[int, LimitBasis]] = [
        (_per_phase_ma(key, book), "ma_per_phase") for key in _ROUTES if key in book.values
    ]
    return [*sorted(set(answered), key=lambda entry: (entry[1], -entry[0])), *routes]


def _of_cap(cap: Cap, site: Site, book: Rulebook) -> tuple[int, LimitBasis]:
    """The limit that keeps a cap. A cap in amps refers to the present phases."""
    now = phases_now(site)
    if cap.basis == "ma_per_phase" and now is not None and now < site.supply.phases:
        return cap.value * now * book.whole("voltage.nominal") // 10**6, "w_total"
    return cap.value, cap.basis


def _per_phase_ma(key: str, book: Rulebook) -> int:
    """A per-phase limit in whole mA; W or VA is rounded down, so that the limit is kept."""
    amount = book.whole(key)
    if book.values[key].unit == "mA":
        return amount
    return amount * 10**6 // book.whole("voltage.nominal")


def named_limit(value: int, basis: LimitBasis, site: Site) -> str:
    """The change in a few words."""
    if basis == "ma_per_phase":
        each = " a phase" if len(supply_phases(site)) > 1 else ""
        return f"Export limit {amps(value)}{each}"
    return f"Export limit {in_unit(value, 'W' if basis == 'w_total' else 'VA')}"


def limit_in_words(value: int, basis: LimitBasis, site: Site, book: Rulebook) -> str:
    """A limit as stated, and a total also per phase at the voltage of the procedure."""
    if basis == "ma_per_phase":
        return f"{amps(value)} a phase"
    stated = in_unit(value, "W" if basis == "w_total" else "VA")
    phases = len(supply_phases(site))
    exact = Fraction(value * 10**6, book.whole("voltage.nominal") * phases)
    each = amps(int(exact + Fraction(1, 2)))
    if phases == 1:
        return f"{stated} ({each})"
    return f"{stated} in all, held on every phase by its share ({each})"
